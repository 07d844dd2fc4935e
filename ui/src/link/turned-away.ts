import { signal } from "@preact/signals";

/** Counts how often the station has said that somebody has to sign in first, or may not do this. */
export const turnedAway = signal(0);

const CODES: ReadonlySet<unknown> = new Set(["sign-in-needed", "not-allowed"]);

/** To be told of every problem that the station answers with. */
export function noteProblem(code: unknown): void {
  if (CODES.has(code)) turnedAway.value += 1;
}
