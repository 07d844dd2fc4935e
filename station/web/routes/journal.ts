import { Router } from "express";
import type { JournalView } from "../../model/journal.js";

export interface JournalService {
  view(): JournalView;
}

export function journalRoutes(service: JournalService): Router {
  const routes = Router();
  routes.get("/journal", (_request, response) => {
    response.json(service.view());
  });
  return routes;
}
