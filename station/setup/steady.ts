import type { BathReadings } from "./calibration.js";

export interface SaidAt {
  /** Monotonic milliseconds. */
  readonly mono: number;
  readonly value: number;
}

/** A probe is looked at for this long before what it says is taken. */
export const STEADY_S = 60;
/** Readings that have to be there by then. */
const LEAST_READINGS = 20;
/** So far the probe may move in that time: three steps of a DS18B20 at 12 bits. Beyond, it has not come to rest yet. */
const MOST_DRIFT = 0.19;

export type Steadiness =
  | { readonly steady: true; readonly readings: BathReadings }
  | { readonly steady: false; readonly why: "too-few" | "moving"; readonly secondsToGo: number | null };

/**
 * Whether a probe has come to rest in its bath, judged by its last minute: by the rise of the line of least squares through
 * it, which one reading that jumps hardly moves.
 * @param readings in order of time
 */
export function steadiness(readings: readonly SaidAt[], now: number, resolution: number): Steadiness {
  const last = readings.filter(({ mono }) => mono > now - STEADY_S * 1000 && mono <= now);
  const first = last[0];
  const spanS = first === undefined ? 0 : (now - first.mono) / 1000;
  const count = last.length;
  // The first reading of a full minute came at most one interval after its beginning.
  const intervalS = count > 1 ? spanS / count : STEADY_S;
  if (count < LEAST_READINGS || spanS + 1.5 * intervalS < STEADY_S) {
    return { steady: false, why: "too-few", secondsToGo: Math.max(1, Math.ceil(STEADY_S - spanS)) };
  }
  const mean = last.reduce((sum, { value }) => sum + value, 0) / count;
  const middle = last.reduce((sum, { mono }) => sum + mono, 0) / count;
  let [up, across, squares] = [0, 0, 0];
  for (const { mono, value } of last) {
    up += (mono - middle) * (value - mean);
    across += (mono - middle) ** 2;
    squares += (value - mean) ** 2;
  }
  const drift = Math.abs((up / across) * STEADY_S * 1000);
  if (drift > MOST_DRIFT) return { steady: false, why: "moving", secondsToGo: null };
  return { steady: true, readings: { mean, sd: Math.sqrt(squares / (count - 1)), count, resolution } };
}
