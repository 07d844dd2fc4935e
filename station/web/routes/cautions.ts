import { Router } from "express";
import type { Caution } from "../../model/caution.js";

export interface CautionsService {
  readonly cautions: readonly Caution[];
  readonly statement: { readonly short: string; readonly long: readonly string[] };
}

export function cautionRoutes({ cautions, statement }: CautionsService): Router {
  const routes = Router();
  routes.get("/cautions", (_request, response) => {
    response.json({ statement, cautions });
  });
  return routes;
}
