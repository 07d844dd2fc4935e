const NO_BREAK = "\u00a0";

const withSeconds = new Intl.DateTimeFormat("en-GB", {
  hour: "2-digit",
  minute: "2-digit",
  second: "2-digit",
  hourCycle: "h23",
});
const withMinutes = new Intl.DateTimeFormat("en-GB", {
  hour: "2-digit",
  minute: "2-digit",
  hourCycle: "h23",
});
const day = new Intl.DateTimeFormat("en-GB", { weekday: "short", day: "numeric", month: "short" });
const dayOfYear = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short", year: "numeric" });

const SECOND = 1000;
const MINUTE = 60 * SECOND;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;
const YEAR = 365.25 * DAY;

/** Local time of day, "14:03:20". */
export function timeOfDay(wall: number): string {
  return withSeconds.format(wall);
}

/** Local time of day without seconds, "14:03". */
export function hourAndMinute(wall: number): string {
  return withMinutes.format(wall);
}

/** "14:03" today, "Tue 25 Nov, 14:03" on another day of this year, with the year before that. */
export function whenText(wall: number, today: number): string {
  return withDay(withMinutes, wall, today);
}

/** The same with seconds: the order of alarms is told by them. */
export function secondText(wall: number, today: number): string {
  return withDay(withSeconds, wall, today);
}

function withDay(time: Intl.DateTimeFormat, wall: number, today: number): string {
  if (new Date(wall).toDateString() === new Date(today).toDateString()) return time.format(wall);
  return `${dateText(wall, today)}, ${time.format(wall)}`;
}

/** "Tue 25 Nov" in this year, "25 Nov 2023" otherwise. */
export function dateText(wall: number, today: number): string {
  const sameYear = new Date(wall).getFullYear() === new Date(today).getFullYear();
  return (sameYear ? day : dayOfYear).format(wall);
}

/** Full date and time, for the record. */
export function fullText(wall: number): string {
  return `${dayOfYear.format(wall)}, ${withSeconds.format(wall)}`;
}

/** A moment of a span of this length, milliseconds: to the second, or to the minute where that is less than can be seen. */
export function momentText(wall: number, length: number): string {
  return `${dayOfYear.format(wall)}, ${(length < 6 * HOUR ? withSeconds : withMinutes).format(wall)}`;
}

const zoned = new Intl.DateTimeFormat("en-GB", {
  weekday: "short",
  day: "numeric",
  month: "short",
  year: "numeric",
  hour: "2-digit",
  minute: "2-digit",
  hourCycle: "h23",
  timeZoneName: "short",
});

/**
 * "Tue 24 Nov 2026, 14:03 – 15:03 GMT", with both days where there are two, and both zones where the clocks change in between.
 * Seconds are told of a span under ten minutes.
 */
export function spanText(from: number, to: number): string {
  const [one, other] = [from, to].map((wall) => {
    const parts = zoned.formatToParts(wall);
    const part = (type: Intl.DateTimeFormatPartTypes) => parts.find((p) => p.type === type)?.value ?? "";
    return {
      day: `${part("weekday")} ${part("day")} ${part("month")} ${part("year")}`,
      time: to - from < 10 * MINUTE ? withSeconds.format(wall) : withMinutes.format(wall),
      zone: part("timeZoneName"),
    };
  }) as [Zoned, Zoned];
  const zone = one.zone === other.zone ? "" : ` ${one.zone}`;
  const day = one.day === other.day ? "" : `${other.day}, `;
  return `${one.day}, ${one.time}${zone} – ${day}${other.time} ${other.zone}`;
}

interface Zoned {
  readonly day: string;
  readonly time: string;
  readonly zone: string;
}

/** An ISO 8601 day in words, "2 Nov 2026"; anything else as it came. */
export function publishedDay(iso: string): string {
  const at = Date.parse(`${iso}T00:00:00`);
  return Number.isNaN(at) ? iso : dayOfYear.format(at);
}

export function isoText(wall: number): string {
  return new Date(wall).toISOString();
}

/** How long ago, in the one unit that matters: "under 1 s", "3 s", "4 min", "2 h", "5 d". */
export function ageText(ms: number): string {
  if (ms < SECOND) return `under 1${NO_BREAK}s`;
  if (ms < MINUTE) return `${Math.floor(ms / SECOND)}${NO_BREAK}s`;
  if (ms < HOUR) return `${Math.floor(ms / MINUTE)}${NO_BREAK}min`;
  if (ms < 2 * DAY) return `${Math.floor(ms / HOUR)}${NO_BREAK}h`;
  return `${Math.floor(ms / DAY)}${NO_BREAK}d`;
}

/** How long something took: "48 s", "3 min 12 s", "1 h 04 min". */
export function durationText(ms: number): string {
  const seconds = Math.max(0, Math.round(ms / SECOND));
  if (seconds < 60) return `${seconds}${NO_BREAK}s`;
  const minutes = Math.floor(seconds / 60);
  if (minutes < 60) return `${minutes}${NO_BREAK}min ${pad(seconds % 60)}${NO_BREAK}s`;
  return `${Math.floor(minutes / 60)}${NO_BREAK}h ${pad(minutes % 60)}${NO_BREAK}min`;
}

/** A length of any size, cut to its greatest unit or two: "3 s", "4 min", "1 h 2 min", "3 d 4 h", "56 years". */
export function longText(ms: number): string {
  if (ms < SECOND) return `less than 1${NO_BREAK}s`;
  if (ms < MINUTE) return `${Math.floor(ms / SECOND)}${NO_BREAK}s`;
  if (ms < HOUR) return `${Math.floor(ms / MINUTE)}${NO_BREAK}min`;
  if (ms < DAY) return twoUnits(ms, [HOUR, "h"], [MINUTE, "min"]);
  if (ms < 2 * YEAR) return twoUnits(ms, [DAY, "d"], [HOUR, "h"]);
  return `${Math.floor(ms / YEAR)}${NO_BREAK}years`;
}

type Unit = readonly [ms: number, word: string];

function twoUnits(ms: number, [great, greatWord]: Unit, [small, smallWord]: Unit): string {
  const rest = Math.floor((ms % great) / small);
  const whole = `${Math.floor(ms / great)}${NO_BREAK}${greatWord}`;
  return rest === 0 ? whole : `${whole} ${rest}${NO_BREAK}${smallWord}`;
}

function pad(n: number): string {
  return String(n).padStart(2, "0");
}
