import { type Quality, REASONS, type Reading, type Reason } from "../model/reading.js";

/**
 * Readings as columns, in the order they were given: what crosses between the threads. A message of a few typed arrays
 * is cloned some ten times faster than one of as many objects, and takes a fifth of the memory while it waits.
 * The codes are only good within one program; the file holds reasons as words.
 */
export interface Columns {
  readonly count: number;
  /** The channel ids that occur; `channel` points into it. */
  readonly channels: readonly string[];
  readonly channel: Uint16Array;
  readonly wall: Float64Array;
  readonly mono: Float64Array;
  /** NaN stands for null. */
  readonly value: Float64Array;
  readonly quality: Uint8Array;
  /** 0 for none, else one more than the place in `REASON_CODES`. */
  readonly reason: Uint8Array;
}

/** By code, which is also what the file holds. */
export const QUALITY_CODES: readonly Quality[] = ["good", "uncertain", "bad"];
export const REASON_CODES = Object.keys(REASONS) as readonly Reason[];

const qualityCode: Readonly<Record<Quality, number>> = { good: 0, uncertain: 1, bad: 2 };
const reasonCode: ReadonlyMap<string, number> = new Map(REASON_CODES.map((reason, i) => [reason, i + 1]));

/** Gathers up to `capacity` readings, then is emptied by `take`. */
export interface Gatherer {
  readonly count: number;
  /** The caller sees to it that there is room. */
  add(
    channel: string,
    wall: number,
    mono: number,
    value: number | null,
    quality: number,
    reason: string | null,
  ): void;
  addReading(reading: Reading): void;
  /** What was gathered, as columns of its own; the gatherer is empty afterwards. */
  take(): Columns;
}

export function gatherColumns(capacity: number): Gatherer {
  const channel = new Uint16Array(capacity);
  const wall = new Float64Array(capacity);
  const mono = new Float64Array(capacity);
  const value = new Float64Array(capacity);
  const quality = new Uint8Array(capacity);
  const reason = new Uint8Array(capacity);
  let places = new Map<string, number>();
  let count = 0;

  function place(id: string): number {
    const known = places.get(id);
    if (known !== undefined) return known;
    places.set(id, places.size);
    return places.size - 1;
  }

  function add(id: string, w: number, m: number, v: number | null, q: number, r: string | null): void {
    channel[count] = place(id);
    wall[count] = w;
    mono[count] = m;
    value[count] = v ?? Number.NaN;
    quality[count] = q;
    reason[count] = r === null ? 0 : (reasonCode.get(r) ?? 0);
    count++;
  }

  return {
    get count() {
      return count;
    },
    add,
    addReading({ channel: id, at, value: v, quality: q, reason: r }) {
      // No number is no value, whoever let it through: it would read back as a good reading of nothing.
      if (Number.isNaN(v)) add(id, at.wall, at.mono, null, qualityCode.bad, "not-a-number");
      else add(id, at.wall, at.mono, v, qualityCode[q], r);
    },
    take() {
      const taken: Columns = {
        count,
        channels: [...places.keys()],
        channel: channel.slice(0, count),
        wall: wall.slice(0, count),
        mono: mono.slice(0, count),
        value: value.slice(0, count),
        quality: quality.slice(0, count),
        reason: reason.slice(0, count),
      };
      places = new Map();
      count = 0;
      return taken;
    },
  };
}

function cell(column: { readonly [i: number]: number }, i: number): number {
  return column[i] as number;
}

export function readingsOf(columns: Columns): Reading[] {
  const readings: Reading[] = [];
  for (let i = 0; i < columns.count; i++) {
    const value = cell(columns.value, i);
    readings.push({
      channel: columns.channels[cell(columns.channel, i)] ?? "",
      at: { wall: cell(columns.wall, i), mono: cell(columns.mono, i) },
      value: Number.isNaN(value) ? null : value,
      quality: QUALITY_CODES[cell(columns.quality, i)] ?? "bad",
      reason: REASON_CODES[cell(columns.reason, i) - 1] ?? null,
    });
  }
  return readings;
}
