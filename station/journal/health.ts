/** Whether the journal is being written, derived anew each time from what happened last and never stored. */
export interface JournalHealth {
  readonly writing: boolean;
  /** Readings not yet committed. */
  readonly waiting: number;
  /** Readings given up since the start, because too many were waiting or the journal was closed. */
  readonly dropped: number;
  /** Monotonic milliseconds of the last commit; null before the first. */
  readonly lastCommitMono: number | null;
  /** For people. */
  readonly text: string;
}

/** Nothing committed for longer than this, while something waits, is "not writing". */
export const STALLED_AFTER_MS = 15_000;

export interface HealthFacts {
  readonly now: number;
  readonly waiting: number;
  readonly dropped: number;
  /** Entries other than readings that were not taken in, because too many were waiting. */
  readonly refused: number;
  readonly lastCommitMono: number | null;
  /** Since when something has been waiting without a break; null if nothing is. */
  readonly waitingSinceMono: number | null;
  /** Whether the journal has not been open yet. */
  readonly opening: boolean;
  /** Why the last opening or commit failed; null if it did not. */
  readonly trouble: string | null;
  /** Why old readings could not be sealed; null if they could. */
  readonly unsealed: string | null;
  readonly closed: boolean;
}

function stalledFor({ now, lastCommitMono, waitingSinceMono }: HealthFacts): number {
  if (waitingSinceMono === null) return 0;
  return now - Math.max(waitingSinceMono, lastCommitMono ?? waitingSinceMono);
}

/** What is wrong, in words; null while the journal is being written. */
export function notWritingBecause(facts: HealthFacts): string | null {
  if (facts.closed) return "it has been closed";
  if (facts.trouble !== null) return facts.trouble;
  if (facts.opening) return "it is being opened";
  const stalled = stalledFor(facts);
  return stalled > STALLED_AFTER_MS ? `nothing has been committed for ${Math.round(stalled / 1000)} s` : null;
}

function lossText({ dropped, refused }: HealthFacts): string {
  const readings = dropped === 0 ? "" : ` ${dropped} readings were lost.`;
  return refused === 0
    ? readings
    : `${readings} ${refused} entries other than readings (alarms, settings) were not kept, because too many were waiting.`;
}

function unsealedText({ unsealed }: HealthFacts): string {
  if (unsealed === null) return "";
  return ` Old readings are kept, but could not be packed away, so the file grows faster than it should: ${withoutStop(unsealed)}.`;
}

function withoutStop(words: string): string {
  return words.replace(/\.$/, "");
}

export function deriveHealth(facts: HealthFacts): JournalHealth {
  const { waiting, dropped, lastCommitMono } = facts;
  const because = notWritingBecause(facts);
  const text =
    because === null
      ? `The journal is being written.${lossText(facts)}${unsealedText(facts)}`
      : `The journal is not being written: ${withoutStop(because)}. ${waiting} readings are held in memory.${lossText(facts)}`;
  return { writing: because === null, waiting, dropped, lastCommitMono, text };
}
