import type { AskTrials } from "../journal/trials/calls.js";
import type { WorkshopFacts } from "../model/workshop.js";

export interface ReviewRecordParts {
  readonly facts: () => Promise<WorkshopFacts>;
  readonly ask: AskTrials;
}

/** Whether the conditions explain a bad run, and which stock is better: all of it is reckoned on the reading thread. */
export function createReviewRecord({ facts, ask }: ReviewRecordParts) {
  return {
    overview: () => ask("review", { about: "conditions" }),
    /** @throws AppError `run-unknown`, `run-not-bad` */
    badRun: (run: string) => ask("review", { about: "run", run }),
    /** @throws AppError `stock-unknown`, `request-invalid` */
    materials: async (first: string, second: string) =>
      ask("review", { about: "materials", first, second, facts: await facts() }),
    /** @throws AppError `stock-unknown` */
    drift: (reference: string) => ask("review", { about: "drift", reference }),
  };
}
