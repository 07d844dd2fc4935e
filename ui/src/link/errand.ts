import { type Refusal, refusalOf } from "./ask.js";

export interface Errand<T> {
  /** Asks; a question that is still on its way is given up first. */
  ask(question: (signal: AbortSignal) => Promise<T>): void;
  /** Gives up what is on its way. */
  stop(): void;
}

/** One question at a time, of which only the latest counts: an answer to an older one is never taken. */
export function createErrand<T>(take: (answer: T) => void, refused: (refusal: Refusal) => void): Errand<T> {
  let underWay: AbortController | null = null;
  return {
    ask(question) {
      underWay?.abort();
      const mine = new AbortController();
      underWay = mine;
      question(mine.signal).then(
        (answer) => {
          if (!mine.signal.aborted) take(answer);
        },
        (reason: unknown) => {
          if (!mine.signal.aborted) refused(refusalOf(reason));
        },
      );
    },
    stop() {
      underWay?.abort();
      underWay = null;
    },
  };
}
