import { Router } from "express";
import type { BackupsView } from "../../model/backup.js";

export interface BackupsService {
  view(): Promise<BackupsView>;
  /** @throws AppError "backup-not-set-up", "backup-running" */
  makeNow(): void;
}

export function backupRoutes(service: BackupsService): Router {
  const routes = Router();
  routes.get("/backups", async (_request, response) => {
    response.json(await service.view());
  });
  // Begun, not done: whoever wants to know asks again.
  routes.post("/backups", async (_request, response) => {
    service.makeNow();
    response.status(202).json(await service.view());
  });
  return routes;
}
