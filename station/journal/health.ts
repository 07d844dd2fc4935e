import { type CommitTimes, isSlow } from "./disk/commit-times.js";
import type { WalState } from "./disk/wal.js";

/** Whether the journal is being written, derived anew each time from what happened last and never stored. */
export interface JournalHealth {
  readonly writing: boolean;
  /** The disk has no room for readings, which wait in memory; runs, alarms and settings are still written. */
  readonly held: boolean;
  /** Readings not yet committed. */
  readonly waiting: number;
  /** Readings given up since the start, because too many were waiting or the journal was closed. */
  readonly dropped: number;
  /** Monotonic milliseconds of the last commit; null before the first. */
  readonly lastCommitMono: number | null;
  /** How long the disk takes for a commit of late; null before the first. */
  readonly commits: CommitTimes | null;
  /** Repeatedly longer than it should. */
  readonly slow: boolean;
  /** Null until it has been looked at. */
  readonly wal: WalState | null;
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
  readonly held: boolean;
  readonly commits: CommitTimes | null;
  readonly wal: WalState | null;
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

/** A WAL beyond this that cannot be brought in is worth a word. */
const LARGE_WAL_BYTES = 64e6;

function walText({ wal }: HealthFacts): string {
  if (wal === null || wal.pagesWaiting === 0 || wal.bytes < LARGE_WAL_BYTES) return "";
  const size = `${Math.round(wal.bytes / 1e6)} MB`;
  return (
    ` ${size} are kept in a file beside the journal, because something has been reading the journal for long ` +
    "(a backup, an export, another program); they go into it by themselves once that ends."
  );
}

/** The disk takes it all, but not as it should. */
function slowText({ commits }: HealthFacts): string {
  if (!isSlow(commits)) return "";
  const longest = (commits.longestMs / 1000).toFixed(1);
  return ` The disk is slow: in the last ten minutes it took longer than a second ${commits.slow} times to keep something, ${longest} s at worst.`;
}

function writingText(facts: HealthFacts): string {
  if (!facts.held) return "The journal is being written.";
  return (
    "Runs, stamps, alarms and settings are being written, but readings are not: what is left of the disk is kept for those. " +
    `${facts.waiting} readings are held in memory, and are written once there is room.`
  );
}

export function deriveHealth(facts: HealthFacts): JournalHealth {
  const { waiting, dropped, lastCommitMono, held, commits, wal } = facts;
  const because = notWritingBecause(facts);
  const text =
    because === null
      ? `${writingText(facts)}${lossText(facts)}${unsealedText(facts)}${slowText(facts)}${walText(facts)}`
      : `The journal is not being written: ${withoutStop(because)}. ${waiting} readings are held in memory.${lossText(facts)}`;
  const slow = isSlow(commits);
  return { writing: because === null, held, waiting, dropped, lastCommitMono, commits, slow, wal, text };
}

/**
 * Tells of the journal's health when writing stops or begins again, or stops for another reason.
 * @param begunMono monotonic milliseconds: one that is just being opened is not told of
 * @returns looks, and tells where it has to be
 */
export function healthTeller(
  facts: () => HealthFacts,
  begunMono: number,
  onHealth: (health: JournalHealth) => void,
): () => void {
  let told: string | null = null;
  return () => {
    const current = facts();
    const { opening, trouble, now, held } = current;
    if (opening && trouble === null && now - begunMono < STALLED_AFTER_MS) return;
    // The length of a stall grows from one look to the next; that it stalls is told once.
    const writing = notWritingBecause(current) === null;
    const because = writing ? (held ? "held" : null) : (trouble ?? "stalled");
    if (because === told) return;
    told = because;
    onHealth(deriveHealth(current));
  };
}
