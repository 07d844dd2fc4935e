/** Debouncing of a contact, free of clocks: the caller says when a level was seen. Times are monotonic milliseconds. */

export type Level = 0 | 1;

export interface Debounce {
  /** The level that counts; null until the first has stood long enough. */
  readonly settled: Level | null;
  /** A level that differs from it, and since when it has stood. */
  readonly candidate: { readonly level: Level; readonly since: number } | null;
  /** Changes thrown away because the level went back too soon; counts up. */
  readonly bounces: number;
}

export const UNSETTLED: Debounce = { settled: null, candidate: null, bounces: 0 };

/** The level as seen at `at`; with a debounce time of 0 every change counts at once. */
export function seeLevel(from: Debounce, level: Level, at: number, debounceMs: number): Debounce {
  const now = settle(from, at, debounceMs);
  const candidate = now.candidate;
  if (candidate === null) {
    if (level === now.settled) return now;
    return settle({ ...now, candidate: { level, since: at } }, at, debounceMs);
  }
  if (level === candidate.level) return now;
  const bounced = { ...now, bounces: now.bounces + 1 };
  if (level === now.settled) return { ...bounced, candidate: null };
  return { ...bounced, candidate: { level, since: at } };
}

/** What time alone has settled by `at`. */
export function settle(from: Debounce, at: number, debounceMs: number): Debounce {
  const { candidate } = from;
  if (candidate === null || at - candidate.since < debounceMs) return from;
  return { ...from, settled: candidate.level, candidate: null };
}

/** When the candidate will count if it stays, or null where there is none. */
export function settlesAt({ candidate }: Debounce, debounceMs: number): number | null {
  return candidate === null ? null : candidate.since + debounceMs;
}

/** 1 where the thing is on: a high level, or a low one on a line that is active low. */
export function stateOf(level: Level, activeLow: boolean): Level {
  return (level === 1) === activeLow ? 0 : 1;
}

/** More bounces a second than any contact has that is merely worn: a wire that is off, or mains hum on the line. */
const CHATTER_PER_SECOND = 10;

export function chatters(bounces: number, windowMs: number): boolean {
  return bounces * 1000 > CHATTER_PER_SECOND * Math.max(1000, windowMs);
}
