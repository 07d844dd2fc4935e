import type { Instant } from "../model/instant.js";
import type { LiveValue } from "../model/now.js";
import { type Quality, REASONS, type Reason } from "../model/reading.js";

/** What a reading of a channel and a derived value have in common. */
export interface JudgedValue {
  readonly at: Instant;
  readonly value: number | null;
  readonly quality: Quality;
  readonly reason: Reason | null;
}

/**
 * A value as the pages show it, with its age. Null stands for one that nothing has been read for yet.
 * @param nowMono milliseconds, monotonic; an age is never negative
 */
export function liveValue(judged: JudgedValue | null, nowMono: number): LiveValue {
  if (judged === null || judged.reason === "never-read") {
    return {
      value: null,
      quality: "bad",
      reason: "never-read",
      reasonText: REASONS["never-read"].text,
      ageMs: null,
    };
  }
  const { value, quality, reason, at } = judged;
  return {
    value,
    quality,
    reason,
    reasonText: reason === null ? null : REASONS[reason].text,
    ageMs: Math.max(0, nowMono - at.mono),
  };
}
