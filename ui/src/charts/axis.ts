import type { Bucket } from "../../../station/model/now.js";

export interface Range {
  readonly low: number;
  readonly high: number;
}

export interface Tick {
  readonly value: number;
}

const STEPS_S = [1, 2, 5, 10, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 21600, 43200, 86400];

/** Whole seconds, minutes or hours, `most` of them over the span at most. */
export function timeTicks(from: number, to: number, most: number): Tick[] {
  const spanS = (to - from) / 1000;
  const step = (STEPS_S.find((s) => spanS / s <= most) ?? 86_400) * 1000;
  const ticks = [];
  for (let t = Math.ceil(from / step) * step; t <= to; t += step) ticks.push({ value: t });
  return ticks;
}

/** Air above and below what is drawn, as a share of it. */
const AIR = 0.07;
/** An axis never spans less than so many of the last shown place: the noise of a still value must not look like a storm. */
const FEWEST_PLACES = 10;
/** Nor less than this share of the value itself. */
const LEAST_SHARE = 0.05;

/** Ends of the value axis: everything there is to be seen and the whole set range, with a little air. */
export function valueSpan(
  buckets: readonly Bucket[],
  range: Range | null,
  decimals: number,
): [number, number] {
  let least = range?.low ?? Number.POSITIVE_INFINITY;
  let most = range?.high ?? Number.NEGATIVE_INFINITY;
  for (const { min, max } of buckets) {
    if (min !== null) least = Math.min(least, min);
    if (max !== null) most = Math.max(most, max);
  }
  if (least > most) return [0, 1];
  const stillness = Math.max(FEWEST_PLACES * 10 ** -Math.min(1, decimals), LEAST_SHARE * Math.abs(most));
  const span = Math.max((most - least) * (1 + 2 * AIR), stillness);
  const middle = (least + most) / 2;
  const bottom = middle - span / 2;
  // What cannot be below zero is not shown as if it could.
  return least >= 0 && bottom < 0 ? [0, span] : [bottom, bottom + span];
}

/** Heights of labels that would touch, px. */
const LABEL_PX = 18;
const APART_PX = 44;
/** Less on a low drawing, which would else have no label but the set range's. */
const APART_LOW_PX = 28;
const LOW_PX = 130;

/** 1, 2 or 5 times a power of ten. */
function roundStep(least: number): number {
  const power = 10 ** Math.floor(Math.log10(least));
  return power * ([1, 2, 5].find((factor) => factor * power >= least) ?? 10);
}

/** The bounds of the set range first, then round values wherever their labels do not touch those. */
export function valueTicks(min: number, max: number, heightPx: number, range: Range | null): Tick[] {
  const pxEach = heightPx / (max - min);
  const bounds: number[] = [];
  for (const bound of range ? [range.high, range.low] : []) {
    if (bounds.every((other) => Math.abs(other - bound) * pxEach >= LABEL_PX)) bounds.push(bound);
  }
  const apart = heightPx < LOW_PX ? APART_LOW_PX : APART_PX;
  const step = roundStep(((max - min) * apart) / Math.max(apart, heightPx));
  const ticks = [...bounds];
  for (let i = Math.ceil(min / step); i * step <= max; i += 1) {
    const value = i * step;
    if (bounds.every((bound) => Math.abs(bound - value) * pxEach >= LABEL_PX)) ticks.push(value);
  }
  return ticks.sort((a, b) => a - b).map((value) => ({ value }));
}

/** Places that tell every tick from the next, 0 to 2. */
export function placesOf(ticks: readonly Tick[]): number {
  const whole = (places: number) =>
    ticks.every(({ value }) => Math.abs(value - Number(value.toFixed(places))) < 1e-6);
  return [0, 1].find(whole) ?? 2;
}
