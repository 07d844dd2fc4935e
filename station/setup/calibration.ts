import type { Calibration } from "../model/channel.js";

/**
 * Calibration of a thermometer at two points, with its uncertainty after JCGM 100:2008 (GUM). Temperatures in degrees
 * Celsius, standard uncertainties in kelvin.
 */

/** What the probe said over a while in a bath. */
export interface BathReadings {
  readonly mean: number;
  /** Experimental standard deviation of one reading. */
  readonly sd: number;
  readonly count: number;
  /** The smallest step the probe tells apart. */
  readonly resolution: number;
}

export interface CalibrationPoint {
  readonly said: BathReadings;
  readonly truth: number;
  /** Standard uncertainty of the truth: see `ofLimits` and `ofCertificate`. */
  readonly truthU: number;
}

/**
 * An ice bath is at 0 °C within this: crushed ice of tap water, just covered with water and stirred (common practice, no
 * source; with distilled water and care it is far better, ASTM E563, from memory).
 */
export const ICE_WITHIN = 0.1;

/** Nearer together than this, the line through both would carry their errors far beyond them. */
export const LEAST_APART = 10;
/** A probe that is off by more is another probe, or in another bath: waterproof DS18B20 are sold to ± 2 °C at worst (from memory). */
export const MOST_OFF = 3;

/** Standard uncertainty of a value that lies anywhere within ± `limit`: limit / √3 (JCGM 100:2008, 4.3.7). */
export function ofLimits(limit: number): number {
  return limit / Math.sqrt(3);
}

/** Standard uncertainty from a certificate's expanded one: U / k (JCGM 100:2008, 4.3.3). */
export function ofCertificate(expanded: number, coverage: number): number {
  return expanded / coverage;
}

/**
 * Standard uncertainty of what the probe said in a bath: the scatter of the mean (JCGM 100:2008, 4.2.3), and the step of its
 * display, δ / √12 (F.2.2.1), which no averaging of a steady reading takes away.
 */
export function saidU({ sd, count, resolution }: BathReadings): number {
  return Math.hypot(sd / Math.sqrt(count), resolution / Math.sqrt(12));
}

export interface Fault {
  readonly point: "low" | "high" | "both";
  readonly expected: string;
}

export type TwoPoints =
  | {
      readonly ok: true;
      readonly calibration: Calibration;
      /** Degrees of truth for a degree of the probe. */
      readonly slope: number;
    }
  | { readonly ok: false; readonly faults: readonly Fault[] };

/** The line through both points, or what is wrong with them. */
export function twoPoints(low: CalibrationPoint, high: CalibrationPoint): TwoPoints {
  const faults: Fault[] = [];
  for (const [point, at] of [
    ["low", low],
    ["high", high],
  ] as const) {
    if (Math.abs(at.said.mean - at.truth) > MOST_OFF) {
      faults.push({
        point,
        expected: `a probe within ${MOST_OFF} °C of the truth: is it this probe, and is it in this bath?`,
      });
    }
  }
  if (high.truth - low.truth < LEAST_APART) {
    faults.push({
      point: "both",
      expected: `two baths at least ${LEAST_APART} °C apart, the cold one first`,
    });
  }
  if (faults.length > 0) return { ok: false, faults };
  return {
    ok: true,
    calibration: {
      points: [
        [rounded(low.said.mean), rounded(low.truth)],
        [rounded(high.said.mean), rounded(high.truth)],
      ],
    },
    slope: slopeOf(low, high),
  };
}

/**
 * Standard uncertainty of a calibrated reading where the probe says `said`, by the law of propagation (JCGM 100:2008, 5.1.2)
 * of y = (1 - w) t₁ + w t₂ with w = (x - x₁) / (x₂ - x₁): smallest between the points, growing beyond them. The step of the
 * display counts once more, for the reading itself. Errors of the two baths are taken as independent.
 */
export function calibratedU(low: CalibrationPoint, high: CalibrationPoint, said: number): number {
  const w = (said - low.said.mean) / (high.said.mean - low.said.mean);
  const slope = slopeOf(low, high);
  const at = (point: CalibrationPoint) => Math.hypot(point.truthU, slope * saidU(point.said));
  return Math.hypot((1 - w) * at(low), w * at(high), (slope * low.said.resolution) / Math.sqrt(12));
}

/** Coverage factor for about 95 % (JCGM 100:2008, 6.3.3). */
export const COVERAGE = 2;

function slopeOf(low: CalibrationPoint, high: CalibrationPoint): number {
  return (high.truth - low.truth) / (high.said.mean - low.said.mean);
}

/** Thousandths of a degree: finer than anything that is measured here, and short in the file. */
function rounded(celsius: number): number {
  return Math.round(celsius * 1000) / 1000;
}
