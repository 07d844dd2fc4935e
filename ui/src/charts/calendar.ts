import { hourAndMinute, timeOfDay } from "../words/time.js";

/** A place on the time axis, in local time. `major` begins a day among times, or a year among months. */
export interface TimeTick {
  readonly value: number;
  readonly label: string;
  readonly major: boolean;
}

const SECOND = 1000;
const MINUTE = 60 * SECOND;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;
const MONTH = 30.5 * DAY;
const YEAR = 365.25 * DAY;

/** Pixels a label needs, with air: "14:03:20", "14:03" or "24 Nov", "Tue 24 Nov", "Nov", "2026". */
const SECONDS_PX = 82;
const SHORT_PX = 64;
const WEEKDAY_PX = 104;
const MONTH_PX = 48;
const YEAR_PX = 54;

const dayAndMonth = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short" });
const withWeekday = new Intl.DateTimeFormat("en-GB", { weekday: "short", day: "numeric", month: "short" });
const month = new Intl.DateTimeFormat("en-GB", { month: "short" });

interface Step {
  readonly ms: number;
  readonly px: number;
  readonly ticks: (from: number, to: number, day: Intl.DateTimeFormat) => TimeTick[];
}

const STEPS: readonly Step[] = [
  ...[1, 2, 5, 10, 15, 30].map((n) => clockStep(n * SECOND, SECONDS_PX)),
  ...[1, 2, 5, 10, 15, 30].map((n) => clockStep(n * MINUTE, SHORT_PX)),
  ...[1, 2, 3, 6, 12].map((n) => ({ ms: n * HOUR, px: SHORT_PX, ticks: hourTicks(n) })),
  ...[1, 2, 7, 14].map((n) => ({ ms: n * DAY, px: SHORT_PX, ticks: dayTicks(n) })),
  ...[1, 2, 3, 6].map((n) => ({ ms: n * MONTH, px: MONTH_PX, ticks: monthTicks(n) })),
  ...[1, 2, 5].map((n) => ({ ms: n * YEAR, px: YEAR_PX, ticks: yearTicks(n) })),
];

/**
 * Round moments of local time, as near each other as their labels allow: whole seconds to years. Days, months and years are
 * those of the calendar, so a day on which the clocks change is 23 or 25 hours wide and still begins at midnight.
 */
export function calendarTicks(from: number, to: number, widthPx: number): TimeTick[] {
  const pxEach = (ms: number) => (widthPx * ms) / (to - from);
  const step = STEPS.find(({ ms, px }) => pxEach(ms) >= px) ?? STEPS.at(-1);
  if (step === undefined) return [];
  return step.ticks(from, to, pxEach(step.ms) >= WEEKDAY_PX ? withWeekday : dayAndMonth);
}

function startsDay(wall: number): boolean {
  const at = new Date(wall);
  return at.getHours() === 0 && at.getMinutes() === 0 && at.getSeconds() === 0;
}

function clockStep(ms: number, px: number): Step {
  return {
    ms,
    px,
    ticks(from, to, day) {
      // Not every zone is whole hours from UTC.
      const shift = -new Date(from).getTimezoneOffset() * MINUTE;
      const ticks: TimeTick[] = [];
      for (let t = Math.ceil((from + shift) / ms) * ms - shift; t <= to; t += ms) {
        ticks.push(timeTick(t, day, ms < MINUTE));
      }
      return ticks;
    },
  };
}

function timeTick(value: number, day: Intl.DateTimeFormat, seconds = false): TimeTick {
  if (startsDay(value)) return { value, label: day.format(value), major: true };
  return { value, label: (seconds ? timeOfDay : hourAndMinute)(value), major: false };
}

function hourTicks(step: number): Step["ticks"] {
  return (from, to, day) => {
    const begin = new Date(from);
    const [y, m, d] = [begin.getFullYear(), begin.getMonth(), begin.getDate()];
    return rising(from, to, (i) => new Date(y, m, d, i * step)).map((value) => timeTick(value, day));
  };
}

function dayTicks(step: number): Step["ticks"] {
  return (from, to, day) => {
    const begin = new Date(from);
    const [y, m, d] = [begin.getFullYear(), begin.getMonth(), begin.getDate()];
    // Weeks begin on Monday (ISO 8601); pairs of days are counted from the first of the month.
    const back = step >= 7 ? (begin.getDay() + 6) % 7 : step === 1 ? 0 : (d - 1) % step;
    return rising(from, to, (i) => new Date(y, m, d - back + i * step)).map((value) => ({
      value,
      label: day.format(value),
      major: false,
    }));
  };
}

function monthTicks(step: number): Step["ticks"] {
  return (from, to) => {
    const year = new Date(from).getFullYear();
    return rising(from, to, (i) => new Date(year, i * step, 1)).map((value) => {
      const at = new Date(value);
      const january = at.getMonth() === 0;
      return { value, label: january ? String(at.getFullYear()) : month.format(value), major: january };
    });
  };
}

function yearTicks(step: number): Step["ticks"] {
  return (from, to) => {
    const begin = Math.floor(new Date(from).getFullYear() / step) * step;
    return rising(from, to, (i) => new Date(begin + i * step, 0, 1)).map((value) => ({
      value,
      label: String(new Date(value).getFullYear()),
      major: false,
    }));
  };
}

/** Those of the rising moments `at(0)`, `at(1)`, ... that lie in the span; one that the clocks skip comes once. */
function rising(from: number, to: number, at: (i: number) => Date): number[] {
  const values: number[] = [];
  let last = Number.NEGATIVE_INFINITY;
  for (let i = 0; ; i += 1) {
    const value = at(i).getTime();
    if (value > to) return values;
    if (value >= from && value > last) values.push(value);
    last = value;
  }
}
