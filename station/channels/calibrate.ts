import type { Calibration } from "../model/channel.js";

export interface Calibrated {
  readonly value: number;
  /** The value lies outside the calibrated points, so that it rests on carrying the nearest segment on. */
  readonly beyondPoints: boolean;
}

/**
 * Applies a calibration to what the sensor says, both in the channel's unit.
 *
 * With an offset: said + offset. With points: linear interpolation between the neighbouring pairs, which meets every
 * point exactly; beyond the outer points the nearest segment is carried on and `beyondPoints` is set.
 * A number that is not finite, or points so close that their slope overflows, give a value that is not finite: the
 * caller judges it. Never throws.
 */
export function calibrate(calibration: Calibration | null, said: number): Calibrated {
  if (calibration === null) return { value: said, beyondPoints: false };
  if ("offset" in calibration) return { value: said + calibration.offset, beyondPoints: false };

  const { points } = calibration;
  const first = points[0];
  const last = points[points.length - 1];
  if (first === undefined || last === undefined) return { value: said, beyondPoints: true };

  let upper = 1;
  while (upper < points.length - 1 && said > (points[upper]?.[0] ?? Number.POSITIVE_INFINITY)) upper += 1;
  const [x0, y0] = points[upper - 1] ?? first;
  const [x1, y1] = points[upper] ?? last;
  const share = (said - x0) / (x1 - x0);
  // Weighted ends instead of y0 + share * rise: exact at both ends, so that a calibrated point reads its truth.
  return { value: y0 * (1 - share) + y1 * share, beyondPoints: said < first[0] || said > last[0] };
}
