/** The journal's size, now and then. */
export interface SizeSample {
  /** Monotonic milliseconds. */
  readonly mono: number;
  readonly bytes: number;
}

const HOUR_MS = 3_600_000;
export const DAY_MS = 24 * HOUR_MS;
/** The file takes in the rows of an hour before it begins to grow as it will. */
const SETTLED_AFTER_MS = 2 * HOUR_MS;
const SAMPLE_EVERY_MS = HOUR_MS;
const LONGEST_MS = 7 * DAY_MS;

/**
 * What a sealed reading takes with its rollups and indexes, bytes: the most that is aimed at for readings at regular
 * intervals, so that what is reckoned from it is rather too much than too little.
 */
export const BYTES_A_READING = 0.45;

/** @param everyS how often each channel gives a reading, seconds */
export function expectedBytesADay(everyS: readonly number[]): number {
  const readings = everyS.reduce((sum, seconds) => sum + 86_400 / seconds, 0);
  return readings * BYTES_A_READING;
}

/** Takes a sample in where one is due, once an hour, and lets go of those older than a week. */
export function sampled(
  samples: readonly SizeSample[],
  startedMono: number,
  sample: SizeSample,
): readonly SizeSample[] {
  if (sample.mono - startedMono < SETTLED_AFTER_MS) return samples;
  const last = samples.at(-1);
  if (last !== undefined && sample.mono - last.mono < SAMPLE_EVERY_MS) return samples;
  return [...samples.filter(({ mono }) => sample.mono - mono <= LONGEST_MS), sample];
}

/**
 * By how much the journal grows in a day: as measured over a day and more, or as its channels let expect, whichever is more.
 * The file fills pages again that sealing has left free, so that for a while it may measure less than will come.
 */
export function bytesADay(samples: readonly SizeSample[], expected: number): number {
  const first = samples[0];
  const last = samples.at(-1);
  if (first === undefined || last === undefined || last.mono - first.mono < DAY_MS) return expected;
  return Math.max(expected, ((last.bytes - first.bytes) / (last.mono - first.mono)) * DAY_MS);
}
