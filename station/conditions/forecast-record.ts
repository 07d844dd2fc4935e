import type {
  ForecastErrors,
  ForecastPoint,
  ForecastRecord,
  ForecastScore,
} from "../model/coolant-forecast.js";
import { BINS_A_MINUTE, type CoolantBin } from "./coolant-bins.js";
import { createCoolantForecaster, PROMISED } from "./coolant-forecast.js";
import type { CoolantRange } from "./coolant-trend.js";
import { LIKELY_STAYS_BELOW } from "./job-forecast.js";
import { fitLine } from "./line-fit.js";

/** So far ahead forecasts are held against what came, minutes. */
export const SCORED_MIN = [5, 15] as const;
/** One every so many minutes while the coolant is measured. */
const EVERY_MIN = 5;
const LINE_BINS = 5 * BINS_A_MINUTE;
const DRAWN_MS = 86_400_000;

interface Scored {
  readonly point: ForecastPoint;
  readonly stays: number;
  readonly line: number;
  /** Null where the coolant was outside its range to begin with. */
  readonly leaving: { readonly said: boolean; readonly left: boolean } | null;
}

/**
 * How good the forecasts were. A forecast is a function of the bins before a moment and of nothing else, so each is made again as it was
 * made then, and held against the bins that came after it.
 * @param bins every bin from `from` on, in order, without a gap between two
 * @param range the range as it is set now, °C
 */
export function scoreForecasts(
  bins: readonly CoolantBin[],
  from: number,
  to: number,
  range: CoolantRange,
): ForecastRecord {
  const scored = new Map<number, Scored[]>(SCORED_MIN.map((minutes) => [minutes, []]));
  const forecaster = createCoolantForecaster();
  const outside = ({ value }: CoolantBin) => value !== null && (value > range.high || value < range.low);
  bins.forEach((bin, i) => {
    forecaster.push(bin);
    if ((i + 1) % (EVERY_MIN * BINS_A_MINUTE) !== 0 || bin.value === null) return;
    for (const minutes of SCORED_MIN) {
      const due = i + minutes * BINS_A_MINUTE;
      const came = bins[due]?.value ?? null;
      const line = along(bins, i, minutes);
      const said = forecaster.at(minutes);
      if (came === null || said === null || line === null) continue;
      const { value, low, high } = said;
      const probability = forecaster.leaving(minutes, range) ?? 0;
      scored.get(minutes)?.push({
        point: { t: from + ((due + 1) * 60_000) / BINS_A_MINUTE, value, low, high, came },
        stays: bin.value,
        line,
        leaving: outside(bin)
          ? null
          : { said: probability >= LIKELY_STAYS_BELOW, left: bins.slice(i + 1, due + 1).some(outside) },
      });
    }
  });
  return {
    ...{ from, to, promised: PROMISED },
    scores: SCORED_MIN.map((minutes) => scoreOf(minutes, scored.get(minutes) ?? [])),
    drawn: SCORED_MIN.map((minutes) => ({
      minutes,
      points: (scored.get(minutes) ?? []).map(({ point }) => point).filter(({ t }) => t > to - DRAWN_MS),
    })),
  };
}

function scoreOf(minutes: number, scored: readonly Scored[]): ForecastScore {
  const n = scored.length;
  const share = (count: number) => (n === 0 ? 0 : count / n);
  const leaving = scored.flatMap((each) => (each.leaving === null ? [] : [each.leaving]));
  const count = (said: boolean, left?: boolean) =>
    leaving.filter((each) => each.said === said && (left === undefined || each.left === left)).length;
  return {
    ...{ minutes, n },
    own: errorsOf(scored.map(({ point }) => point.value - point.came)),
    stays: errorsOf(scored.map(({ stays, point }) => stays - point.came)),
    line: errorsOf(scored.map(({ line, point }) => line - point.came)),
    held: share(scored.filter(({ point }) => point.came >= point.low && point.came <= point.high).length),
    width: share(scored.reduce((sum, { point }) => sum + point.high - point.low, 0)),
    saidStays: count(false),
    leftAfterAll: count(false, true),
    saidLeaves: count(true),
    leftAsSaid: count(true, true),
  };
}

function errorsOf(errors: readonly number[]): ForecastErrors {
  if (errors.length === 0) return { median: 0, rms: 0 };
  const sorted = errors.map(Math.abs).sort((a, b) => a - b);
  const squares = errors.reduce((sum, error) => sum + error * error, 0);
  return { median: sorted[Math.floor(sorted.length / 2)] ?? 0, rms: Math.sqrt(squares / errors.length) };
}

/** A straight line through the last five minutes, carried on; null where they are not all there. */
function along(bins: readonly CoolantBin[], now: number, minutes: number): number | null {
  const last: { t: number; value: number }[] = [];
  for (let back = LINE_BINS - 1; back >= 0; back -= 1) {
    const value = bins[now - back]?.value ?? null;
    if (value !== null) last.push({ t: -back / BINS_A_MINUTE, value });
  }
  const line = last.length < LINE_BINS / 2 ? null : fitLine(last, 0);
  return line === null ? null : line.atNow + line.slope * minutes;
}
