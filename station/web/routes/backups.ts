import { Router } from "express";
import type { BackupsView } from "../../model/backup.js";

export interface BackupsService {
  view(): Promise<BackupsView>;
}

export function backupRoutes(service: BackupsService): Router {
  const routes = Router();
  routes.get("/backups", async (_request, response) => {
    response.json(await service.view());
  });
  return routes;
}
