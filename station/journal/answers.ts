import type { AppError } from "../errors.js";
import { type Promised, promised } from "./promised.js";
import type { ActionResult, Receipt } from "./protocol.js";
import { errorOf } from "./refusal.js";

/** Who waits to hear of an action, by the number of its parcel. */
export interface Answers {
  /** @throws AppError what the action was refused for, or given up */
  to(number: number): Promise<ActionResult>;
  /** Answers whoever waits for this parcel. */
  settle(number: number, receipt: Receipt): void;
  giveUp(numbers: readonly number[], why: AppError): void;
}

export function createAnswers(): Answers {
  const awaiting = new Map<number, Promised<ActionResult>>();

  function take(number: number): Promised<ActionResult> | undefined {
    const waiting = awaiting.get(number);
    awaiting.delete(number);
    return waiting;
  }

  return {
    to(number) {
      const waiting = promised<ActionResult>();
      awaiting.set(number, waiting);
      return waiting.promise;
    },
    settle(number, { result, refused }) {
      const waiting = take(number);
      if (refused === null) waiting?.resolve(result);
      else waiting?.reject(errorOf(refused));
    },
    giveUp(numbers, why) {
      for (const number of numbers) take(number)?.reject(why);
    },
  };
}
