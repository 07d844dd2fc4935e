import type { Bucket } from "../model/now.js";
import type { ChannelReadings } from "./block-codec.js";
import { MINUTE_MS, type Rollup, type RollupColumns } from "./rollup.js";

const BAD = 2;

/** Least, sum, greatest and number of what falls into each of equally wide buckets of time, and how much of it was bad. */
export class Reduction {
  readonly #from: number;
  readonly #width: number;
  readonly #min: Float64Array;
  readonly #max: Float64Array;
  readonly #sum: Float64Array;
  readonly #count: Float64Array;
  readonly #bad: Float64Array;
  /** Those that hold minutes, of which nobody knows how many of the readings were theirs. */
  readonly #filled = new Set<number>();

  /** @param from beginning of the first bucket; milliseconds, as `width` */
  constructor(from: number, width: number, buckets: number) {
    this.#from = from;
    this.#width = width;
    this.#min = new Float64Array(buckets).fill(Number.POSITIVE_INFINITY);
    this.#max = new Float64Array(buckets).fill(Number.NEGATIVE_INFINITY);
    this.#sum = new Float64Array(buckets);
    this.#count = new Float64Array(buckets);
    this.#bad = new Float64Array(buckets);
  }

  /** Those of the readings whose time, by one of the two clocks, lies between `from` and `to` (not included). */
  takeReadings(readings: ChannelReadings, clock: "wall" | "mono", from: number, to: number): void {
    const { value, status, statuses } = readings;
    const time = readings[clock];
    const isBad = statuses.map(({ quality }) => quality === BAD);
    for (let i = 0; i < time.length; i++) {
      const t = time[i] as number;
      if (t < from || t >= to) continue;
      const bucket = Math.floor((t - this.#from) / this.#width);
      if (isBad[status[i] as number] === true) this.#takeBad(bucket, 1);
      const v = value[i] as number;
      if (!Number.isNaN(v)) this.#take(bucket, v, v, v, 1);
    }
  }

  /** Those rollups, of a width that every bucket is a multiple of, that begin between `from` and `to` (not included). */
  takeRollups(rollups: RollupColumns, width: number, from: number, to: number): void {
    const { place, min, max, sum, count, bad } = rollups;
    for (let i = 0; i < place.length; i++) {
      const t = (place[i] as number) * width;
      if (t < from || t >= to) continue;
      const bucket = Math.floor((t - this.#from) / this.#width);
      const lost = bad[i] as number;
      if (lost > 0) this.#takeBad(bucket, lost);
      const held = count[i] as number;
      // One of bad readings only has no least and no greatest.
      if (held > 0) this.#take(bucket, min[i] as number, max[i] as number, sum[i] as number, held);
    }
  }

  takeReduced({ bucket, min, max, sum, count, bad }: Reduced): void {
    this.#takeBad(bucket, bad);
    if (min !== null && max !== null) this.#take(bucket, min, max, sum, count);
  }

  #takeBad(bucket: number, bad: number): void {
    this.#bad[bucket] = (this.#bad[bucket] as number) + bad;
  }

  /**
   * Those minutes into every bucket that they reach into and that holds nothing yet: what is known of a bucket whose own
   * readings are gone. @returns whether there was such a bucket
   */
  fillWithMinutes(minutes: readonly Rollup[], from: number, to: number): boolean {
    const rough = new Reduction(this.#from, this.#width, this.#count.length);
    for (const { place, min, max, sum, count } of minutes) {
      const begins = Math.max(from, place * MINUTE_MS);
      const last = Math.min(to, (place + 1) * MINUTE_MS) - 1;
      if (count === 0 || last < begins) continue;
      for (let bucket = rough.#bucketOf(begins); bucket <= rough.#bucketOf(last); bucket++) {
        rough.#take(bucket, min, max, sum, count);
      }
    }
    for (const [bucket, count] of rough.#count.entries()) {
      if (count === 0 || (this.#count[bucket] as number) > 0) continue;
      this.#filled.add(bucket);
      this.#take(
        bucket,
        rough.#min[bucket] as number,
        rough.#max[bucket] as number,
        rough.#sum[bucket] as number,
        count,
      );
    }
    return this.#filled.size > 0;
  }

  #bucketOf(time: number): number {
    return Math.floor((time - this.#from) / this.#width);
  }

  #take(bucket: number, min: number, max: number, sum: number, count: number): void {
    if (min < (this.#min[bucket] as number)) this.#min[bucket] = min;
    if (max > (this.#max[bucket] as number)) this.#max[bucket] = max;
    this.#sum[bucket] = (this.#sum[bucket] as number) + sum;
    this.#count[bucket] = (this.#count[bucket] as number) + count;
  }

  /** @param shownFrom what `from` is called in them */
  buckets(shownFrom: number): Bucket[] {
    return Array.from(this.#count, (count, i) => {
      const t = shownFrom + i * this.#width;
      const bad = this.#bad[i] as number;
      if (count === 0) return { t, min: null, mean: null, max: null, count, bad };
      return {
        t,
        min: this.#min[i] as number,
        mean: (this.#sum[i] as number) / count,
        max: this.#max[i] as number,
        ...(this.#filled.has(i) ? {} : { count, bad }),
      };
    });
  }
}

/** A bucket of rows; no least and no greatest where none of them has a value. */
export interface Reduced {
  readonly bucket: number;
  readonly min: number | null;
  readonly max: number | null;
  readonly sum: number;
  readonly count: number;
  readonly bad: number;
}
