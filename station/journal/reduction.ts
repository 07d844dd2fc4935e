import type { Bucket } from "../model/now.js";
import type { RollupColumns } from "./rollup.js";

/** Least, sum, greatest and number of what falls into each of equally wide buckets of time. */
export class Reduction {
  readonly #from: number;
  readonly #width: number;
  readonly #min: Float64Array;
  readonly #max: Float64Array;
  readonly #sum: Float64Array;
  readonly #count: Float64Array;

  /** @param from beginning of the first bucket; milliseconds, as `width` */
  constructor(from: number, width: number, buckets: number) {
    this.#from = from;
    this.#width = width;
    this.#min = new Float64Array(buckets).fill(Number.POSITIVE_INFINITY);
    this.#max = new Float64Array(buckets).fill(Number.NEGATIVE_INFINITY);
    this.#sum = new Float64Array(buckets);
    this.#count = new Float64Array(buckets);
  }

  /** Those of the readings between `from` and `to` (not included) that have a value. */
  takeReadings(time: Float64Array, value: Float64Array, from: number, to: number): void {
    for (let i = 0; i < time.length; i++) {
      const t = time[i] as number;
      if (t < from || t >= to) continue;
      const v = value[i] as number;
      if (!Number.isNaN(v)) this.#take(Math.floor((t - this.#from) / this.#width), v, v, v, 1);
    }
  }

  /** Those rollups, of a width that every bucket is a multiple of, that begin between `from` and `to` (not included). */
  takeRollups(rollups: RollupColumns, width: number, from: number, to: number): void {
    const { place, min, max, sum, count } = rollups;
    for (let i = 0; i < place.length; i++) {
      const held = count[i] as number;
      const t = (place[i] as number) * width;
      if (held === 0 || t < from || t >= to) continue;
      const bucket = Math.floor((t - this.#from) / this.#width);
      this.#take(bucket, min[i] as number, max[i] as number, sum[i] as number, held);
    }
  }

  takeReduced({ bucket, min, max, sum, count }: Reduced): void {
    this.#take(bucket, min, max, sum, count);
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
      if (count === 0) return { t, min: null, mean: null, max: null };
      return {
        t,
        min: this.#min[i] as number,
        mean: (this.#sum[i] as number) / count,
        max: this.#max[i] as number,
      };
    });
  }
}

export interface Reduced {
  readonly bucket: number;
  readonly min: number;
  readonly max: number;
  readonly sum: number;
  readonly count: number;
}
