import type { BadRunView, MaterialsView, ReviewOverview } from "../../../station/model/review-views.js";
import { call } from "../link/ask.js";

/** Questions about all runs together. Each rejects with a `Refusal`. */
export const askReview = {
  overview: () => call<ReviewOverview>("GET", "/review"),
  badRun: (id: string) => call<BadRunView>("GET", `/review/runs/${encodeURIComponent(id)}`),
  materials: (first: string, second: string) =>
    call<MaterialsView>("GET", `/review/materials?${new URLSearchParams({ first, second })}`),
};
