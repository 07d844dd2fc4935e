import { hourAndMinute, timeOfDay } from "../words/time.js";

/** A place on the time axis, in local time. `major` begins a day, a year, ... and is named in full. */
export interface TimeTick {
  readonly value: number;
  readonly label: string;
  readonly major: boolean;
}

const SECOND = 1000;
const MINUTE = 60 * SECOND;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;

const SHORT_STEPS = [1, 2, 5, 10, 15, 30].map((s) => s * SECOND);
const MINUTE_STEPS = [1, 2, 5, 10, 15, 30].map((m) => m * MINUTE);
const HOUR_STEPS = [1, 2, 3, 6, 12];
const DAY_STEPS = [1, 2, 7, 14];
const MONTH_STEPS = [1, 2, 3, 6];
const YEAR_STEPS = [1, 2, 5];

const dayAndMonth = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short" });
const weekday = new Intl.DateTimeFormat("en-GB", { weekday: "short", day: "numeric", month: "short" });
const month = new Intl.DateTimeFormat("en-GB", { month: "short" });

/**
 * Round moments of local time, `most` at most: whole seconds to years. Days, months and years are those of the calendar, so
 * a day on which the clocks change is 23 or 25 hours wide and still begins at midnight.
 */
export function calendarTicks(from: number, to: number, most: number): TimeTick[] {
  const least = (to - from) / Math.max(1, most);
  const short = [...SHORT_STEPS, ...MINUTE_STEPS].find((step) => step >= least);
  if (short !== undefined) return clockTicks(from, to, short);
  const hours = HOUR_STEPS.find((step) => step * HOUR >= least);
  if (hours !== undefined) return hourTicks(from, to, hours);
  const days = DAY_STEPS.find((step) => step * DAY >= least);
  if (days !== undefined) return dayTicks(from, to, days);
  const months = MONTH_STEPS.find((step) => step * 30.5 * DAY >= least);
  if (months !== undefined) return monthTicks(from, to, months);
  return yearTicks(from, to, YEAR_STEPS.find((step) => step * 365.25 * DAY >= least) ?? 10);
}

const startsDay = (wall: number) => {
  const at = new Date(wall);
  return at.getHours() === 0 && at.getMinutes() === 0 && at.getSeconds() === 0;
};

function timeLabel(wall: number, seconds: boolean): Pick<TimeTick, "label" | "major"> {
  if (startsDay(wall)) return { label: weekday.format(wall), major: true };
  return { label: (seconds ? timeOfDay : hourAndMinute)(wall), major: false };
}

function clockTicks(from: number, to: number, step: number): TimeTick[] {
  // Not every zone is whole hours from UTC.
  const shift = -new Date(from).getTimezoneOffset() * MINUTE;
  const ticks: TimeTick[] = [];
  for (let t = Math.ceil((from + shift) / step) * step - shift; t <= to; t += step) {
    ticks.push({ value: t, ...timeLabel(t, step < MINUTE) });
  }
  return ticks;
}

function hourTicks(from: number, to: number, step: number): TimeTick[] {
  const begin = new Date(from);
  const at = (i: number) =>
    new Date(begin.getFullYear(), begin.getMonth(), begin.getDate(), i * step).getTime();
  return collect(from, to, at, (wall) => timeLabel(wall, false));
}

function dayTicks(from: number, to: number, step: number): TimeTick[] {
  const begin = new Date(from);
  // Weeks begin on Monday (ISO 8601); pairs of days are counted from the first of the month before.
  const back = step >= 7 ? (begin.getDay() + 6) % 7 : begin.getDate() % step;
  const at = (i: number) =>
    new Date(begin.getFullYear(), begin.getMonth(), begin.getDate() - back + i * step).getTime();
  return collect(from, to, at, (wall) => {
    const first = new Date(wall).getDate() <= step && new Date(wall).getMonth() === 0;
    return { label: dayLabel(wall, step), major: first };
  });
}

function dayLabel(wall: number, step: number): string {
  return (step === 1 ? weekday : dayAndMonth).format(wall);
}

function monthTicks(from: number, to: number, step: number): TimeTick[] {
  const year = new Date(from).getFullYear();
  const at = (i: number) => new Date(year, i * step, 1).getTime();
  return collect(from, to, at, (wall) => {
    const january = new Date(wall).getMonth() === 0;
    return { label: january ? String(new Date(wall).getFullYear()) : month.format(wall), major: january };
  });
}

function yearTicks(from: number, to: number, step: number): TimeTick[] {
  const begin = Math.floor(new Date(from).getFullYear() / step) * step;
  const at = (i: number) => new Date(begin + i * step, 0, 1).getTime();
  return collect(from, to, at, (wall) => ({ label: String(new Date(wall).getFullYear()), major: true }));
}

/** Those of the rising moments `at(0)`, `at(1)`, ... that lie in the span; one that the clocks skip comes once. */
function collect(
  from: number,
  to: number,
  at: (i: number) => number,
  words: (wall: number) => Pick<TimeTick, "label" | "major">,
): TimeTick[] {
  const ticks: TimeTick[] = [];
  let last = Number.NEGATIVE_INFINITY;
  for (let i = 0; ; i += 1) {
    const value = at(i);
    if (value > to) return ticks;
    if (value >= from && value > last) ticks.push({ value, ...words(value) });
    last = value;
  }
}
