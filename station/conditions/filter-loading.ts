import type { FilterView } from "../model/filter.js";
import { NEAR_SPEED, pressureAtSpeed } from "./fan-laws.js";
import { fitLine, intervalFactor } from "./line-fit.js";

/** A minute of the extraction: mean drop over the filter, Pa, and mean speed of the fan, 1/min; null where the speed is not measured. */
export interface FilterMinute {
  /** Wall milliseconds. */
  readonly t: number;
  readonly pressure: number;
  readonly speed: number | null;
}

/** The filter on one day: the median of its minutes, at the usual speed of the fan. */
export interface FilterDay {
  /** Middle of the minutes, wall milliseconds. */
  readonly t: number;
  /** Pa. */
  readonly pressure: number;
  readonly minutes: number;
}

const DAY_MS = 86_400_000;
/** A day counts from so many minutes at speed on. */
const LEAST_MINUTES = 5;
/** A trend is told of so many days, over so many. */
const LEAST_DAYS = 5;
const LEAST_SPAN_DAYS = 7;
/** No date is given that lies further ahead: by then the shop cuts something else. */
const LONGEST_DAYS = 365;
/** A drop that falls by this share from one day to the next is a new filter, whether or not anybody said so. */
const CHANGED_SHARE = 0.3;
/** Least spread of a day's median, Pa: of a cheap differential sensor (common practice, no source). */
const LEAST_SD_PA = 3;

/**
 * The drop of each day at the usual speed of the fan, by the fan laws (`fan-laws.ts`). Minutes in which the fan ran much slower, or was
 * starting, are left out, because a filter's resistance goes with the square of the speed only nearly.
 * @param dayOf the day that a wall time lies in
 */
export function filterDays(
  minutes: readonly FilterMinute[],
  dayOf: (wall: number) => string,
): readonly FilterDay[] {
  const speeds = minutes.flatMap(({ speed }) => (speed !== null && speed > 0 ? [speed] : []));
  const usual = speeds.length === 0 ? null : medianOf(speeds);
  const byDay = new Map<string, FilterMinute[]>();
  for (const { t, pressure, speed } of minutes) {
    if (pressure <= 0) continue;
    let atUsual = pressure;
    if (usual !== null) {
      if (speed === null || speed < NEAR_SPEED * usual) continue;
      atUsual = pressureAtSpeed(pressure, speed, usual);
    }
    const day = dayOf(t);
    const of = byDay.get(day) ?? [];
    of.push({ t, pressure: atUsual, speed });
    byDay.set(day, of);
  }
  return [...byDay.values()]
    .filter((of) => of.length >= LEAST_MINUTES)
    .map((of) => ({
      t: of.reduce((sum, { t }) => sum + t, 0) / of.length,
      pressure: medianOf(of.map(({ pressure }) => pressure)),
      minutes: of.length,
    }))
    .sort((a, b) => a.t - b.t);
}

/**
 * When the filter is due: where a line through the days since it was changed meets its final resistance. The limits are those of the
 * slope and of where the line is now, nine in ten and more (Student's t at 0.975); where they do not exclude a filter that does not
 * load, no latest date is given.
 * @param changed wall time of the last change that was entered; null for none
 * @param finalPa the drop at which it is changed, at the usual speed of the fan, Pa
 */
export function forecastFilter(
  days: readonly FilterDay[],
  now: number,
  changed: number | null,
  finalPa: number,
): FilterView {
  const since = sinceChange(days, changed);
  const last = since.at(-1);
  const nowPa = last?.pressure ?? null;
  const base = { finalPa, nowPa, days: since.length, likely: null, soonest: null, latest: null };
  if (last === undefined || nowPa === null) {
    return {
      ...base,
      state: "cannot-tell",
      text: "Not told yet: no day on which the fan ran for five minutes.",
    };
  }
  const now0 = `${Math.round(nowPa)} Pa of ${finalPa} Pa`;
  if (nowPa >= finalPa) {
    return { ...base, state: "due", text: `Due: ${now0} at the fan's usual speed.` };
  }
  const spanDays = (last.t - (since[0]?.t ?? last.t)) / DAY_MS;
  if (since.length < LEAST_DAYS || spanDays < LEAST_SPAN_DAYS) {
    const text = `${now0} at the fan's usual speed. Cannot tell yet when it is due: that takes ${LEAST_DAYS} days of use over a week.`;
    return { ...base, state: "cannot-tell", text };
  }
  const line = fitLine(
    since.map(({ t, pressure }) => ({ t: (t - now) / DAY_MS, value: pressure })),
    LEAST_SD_PA,
  );
  if (line === null) return { ...base, state: "cannot-tell", text: `${now0}. No trend can be told.` };
  const reach = intervalFactor(line.dof) * line.slopeSe;
  const room = finalPa - line.atNow;
  const daysAt = (slope: number) => {
    const days = room <= 0 ? 0 : slope <= 0 ? Number.POSITIVE_INFINITY : room / slope;
    return days > LONGEST_DAYS ? null : now + days * DAY_MS;
  };
  const likely = daysAt(line.slope);
  const soonest = daysAt(line.slope + reach);
  const latest = daysAt(line.slope - reach);
  if (soonest === null) {
    return { ...base, state: "not-loading", text: `${now0}, and not loading that one could see.` };
  }
  return { ...base, state: "forecast", likely, soonest, latest, text: `${now0} at the fan's usual speed.` };
}

/** Those since the last change: the one that was entered, or a fall that nothing but a new filter explains. */
function sinceChange(days: readonly FilterDay[], changed: number | null): readonly FilterDay[] {
  let from = changed ?? Number.NEGATIVE_INFINITY;
  days.forEach((day, i) => {
    const before = days[i - 1];
    if (before !== undefined && day.pressure < (1 - CHANGED_SHARE) * before.pressure) {
      from = Math.max(from, before.t + 1);
    }
  });
  return days.filter(({ t }) => t > from);
}

function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  const [below = 0, above = 0] = [sorted[Math.ceil(middle) - 1], sorted[Math.floor(middle)]];
  return (below + above) / 2;
}
