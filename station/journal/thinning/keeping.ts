import type { ChannelReadings } from "../block-codec.js";

/** How far around a run the readings reach that its stamp was made of; milliseconds of monotonic time. */
export interface StampReach {
  /** Every reading from so long before the start on. */
  readonly leadMs: number;
  /** Of each channel the last one before that, no older than this. */
  readonly lookBackMs: number;
  /** Every reading up to so long after the end. */
  readonly afterMs: number;
}

/** A run by the monotonic clock of its boot. */
export interface RunWindow {
  readonly startMono: number;
  /** Infinity while it is open. */
  readonly endMono: number;
}

/**
 * The places of those readings of one channel that stay when a block is thinned: the windows of runs, and of each run the
 * last reading of this block before its window, which may be what was in force when that began; and the group's last
 * moment, by which is told how far a start of the station reaches.
 * @param lastMono of the group that the block belongs to
 * @returns rising
 */
export function keptPlaces(
  { mono }: Pick<ChannelReadings, "mono">,
  runs: readonly RunWindow[],
  { leadMs, lookBackMs, afterMs }: StampReach,
  lastMono: number,
): number[] {
  const kept = new Set<number>();
  for (const { startMono, endMono } of runs) {
    const from = startMono - leadMs;
    let before: number | null = null;
    for (const [i, at] of mono.entries()) {
      if (at >= from && at <= endMono + afterMs) kept.add(i);
      if (at < from && at >= from - lookBackMs) before = i;
    }
    if (before !== null) kept.add(before);
  }
  for (const [i, at] of mono.entries()) if (at === lastMono) kept.add(i);
  return [...kept].sort((a, b) => a - b);
}

/** Some of the readings of a block, as a block of their own. */
export function pick(readings: ChannelReadings, places: readonly number[]): ChannelReadings {
  const column = (of: Float64Array) => Float64Array.from(places, (i) => of[i] as number);
  const { id, wall, mono, value, status, statuses } = readings;
  return {
    id: column(id),
    wall: column(wall),
    mono: column(mono),
    value: column(value),
    status: Uint16Array.from(places, (i) => status[i] as number),
    statuses,
  };
}
