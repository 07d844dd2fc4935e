import type {
  BadRunView,
  DriftView,
  MaterialsView,
  ReviewOverview,
} from "../../../station/model/review-views.js";
import { call } from "../link/ask.js";

/** Questions about all runs together. Each rejects with a `Refusal`. */
export const askReview = {
  overview: () => call<ReviewOverview>("GET", "/review"),
  badRun: (id: string) => call<BadRunView>("GET", `/review/runs/${encodeURIComponent(id)}`),
  materials: (first: string, second: string) =>
    call<MaterialsView>("GET", `/review/materials?${new URLSearchParams({ first, second })}`),
  drift: (reference: string) => call<DriftView>("GET", `/review/drift?${new URLSearchParams({ reference })}`),
};
