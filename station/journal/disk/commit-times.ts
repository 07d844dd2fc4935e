/** How long the disk takes for a commit, of late. */
export interface CommitTimes {
  /** Milliseconds. */
  readonly medianMs: number;
  readonly longestMs: number;
  /** How many took longer than `SLOW_MS`. */
  readonly slow: number;
  readonly commits: number;
}

/** A card in order takes some milliseconds, and now and then a few hundred. From experience, no source. */
export const SLOW_MS = 1000;
/** One slow commit is a card that tidies itself up; so many within `RECENT_MS` are a disk that is slow. */
const SLOW_COMMITS = 3;
const RECENT_MS = 600_000;
const MOST = 1000;

export interface CommitClock {
  /** @param mono when it was answered @param tookMs from when it was begun until it was committed */
  add(mono: number, tookMs: number): void;
  /** Of the last ten minutes; null without any commit in them. */
  recent(nowMono: number): CommitTimes | null;
}

export function createCommitClock(): CommitClock {
  const times: Commit[] = [];
  /** Of `times` as they are; undefined since they have changed. It is asked at every reading, and there are few commits. */
  let figures: CommitTimes | null | undefined = null;
  return {
    add(mono, ms) {
      times.push({ mono, ms });
      if (times.length > MOST) times.shift();
      figures = undefined;
    },
    recent(now) {
      while (times[0] !== undefined && now - times[0].mono > RECENT_MS) {
        times.shift();
        figures = undefined;
      }
      if (figures === undefined) figures = figuresOf(times);
      return figures;
    },
  };
}

interface Commit {
  readonly mono: number;
  readonly ms: number;
}

function figuresOf(times: readonly Commit[]): CommitTimes | null {
  if (times.length === 0) return null;
  const sorted = times.map(({ ms }) => ms).sort((a, b) => a - b);
  return {
    medianMs: sorted[Math.floor(sorted.length / 2)] as number,
    longestMs: sorted.at(-1) as number,
    slow: sorted.filter((ms) => ms > SLOW_MS).length,
    commits: sorted.length,
  };
}

export function isSlow(times: CommitTimes | null): times is CommitTimes {
  return times !== null && times.slow >= SLOW_COMMITS;
}
