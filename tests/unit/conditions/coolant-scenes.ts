import type { TrendPoint } from "../../../station/conditions/coolant-trend.js";

/** Mulberry32: a small generator of numbers from 0 to 1, the same for the same seed. */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

export interface SceneOptions {
  readonly everyS?: number;
  /** Standard deviation of the sensor's noise, °C. */
  readonly noise?: number;
  readonly seed?: number;
  /** Share of the readings that go missing, 0 to 1. */
  readonly lost?: number;
}

/** Readings of a coolant that follows `course` (seconds to °C), with noise and the 0.0625 °C steps of a common probe. */
export function scene(
  course: (s: number) => number,
  lastS: number,
  options: SceneOptions = {},
): TrendPoint[] {
  const { everyS = 1, noise = 0.03, seed = 1, lost = 0 } = options;
  const random = seeded(seed);
  const points: TrendPoint[] = [];
  for (let s = 0; s <= lastS; s += everyS) {
    const normal = Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
    if (random() < lost) continue;
    points.push({ mono: s * 1000, value: Math.round((course(s) + noise * normal) / 0.0625) * 0.0625 });
  }
  return points;
}

/**
 * The saw-tooth of a chiller that switches on and off.
 * @param amplitude half the swing, °C
 * @param rising share of the period in which it rises
 */
export function chiller(s: number, periodS: number, amplitude: number, rising = 0.6): number {
  const phase = (s % periodS) / periodS;
  return amplitude * (phase < rising ? -1 + (2 * phase) / rising : 1 - (2 * (phase - rising)) / (1 - rising));
}

export function until(points: readonly TrendPoint[], s: number): TrendPoint[] {
  return points.filter((point) => point.mono <= s * 1000);
}
