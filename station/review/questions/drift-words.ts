import type { ReviewMark, ReviewRun } from "../../model/review.js";
import { counted } from "../counted.js";
import { mean } from "../moments.js";

import { listed, measured, perCent, times } from "./figure-words.js";
import { conditionOf } from "./together.js";

const MONTHS = [
  "January",
  "February",
  "March",
  "April",
  "May",
  "June",
  "July",
  "August",
  "September",
  "October",
  "November",
  "December",
] as const;

/** "March 2026", or "March to May 2026": of UTC, which is near enough for a month. */
export function monthsWords(from: number, to: number): string {
  const [first, last] = [new Date(from), new Date(to)];
  const year = (at: Date) => String(at.getUTCFullYear());
  const month = (at: Date) => MONTHS[at.getUTCMonth()] as string;
  if (year(first) !== year(last)) return `${month(first)} ${year(first)} to ${month(last)} ${year(last)}`;
  return month(first) === month(last)
    ? `${month(first)} ${year(first)}`
    : `${month(first)} to ${month(last)} ${year(last)}`;
}

/** "3 June 2026", of UTC. */
export function dayWords(wall: number): string {
  const at = new Date(wall);
  return `${at.getUTCDate()} ${MONTHS[at.getUTCMonth()]} ${at.getUTCFullYear()}`;
}

/** "about 8 % less than in March 2026 (limits 4 % less to 12 % less)". @param than "in March 2026", "in the first 5 sessions" */
export function comparedWords(
  { estimate, lower, upper }: { readonly estimate: number; readonly lower: number; readonly upper: number },
  than: string,
): string {
  const limits = estimate < 1 && !isSame(estimate) ? [upper, lower] : [lower, upper];
  const joined = isSame(estimate) || estimate >= 2 ? "as" : "than";
  return `about ${changeWords(estimate)} ${joined} ${than} (limits ${limits.map(changeWords).join(" to ")})`;
}

function changeWords(ratio: number): string {
  if (isSame(ratio)) return "as much";
  if (ratio >= 2) return `${times(ratio)} as much`;
  return `${perCent(ratio - 1)} ${ratio < 1 ? "less" : "more"}`;
}

function isSame(ratio: number): boolean {
  return Math.abs(ratio - 1) < 0.005;
}

const NEAR_MS = 14 * 86_400_000;

/** Upkeep between the last session before a change and its first one, and up to two weeks before that one. */
export function upkeepNear(marks: readonly ReviewMark[], before: number, since: number): string {
  const near = marks.filter(({ wall }) => wall >= Math.min(before, since - NEAR_MS) && wall <= since);
  if (near.length === 0) return "No upkeep is on record shortly before that.";
  const shown = near.slice(-MOST_MARKS).map(({ wall, what }) => `${what} (${dayWords(wall)})`);
  return `Upkeep shortly before: ${listed(shown)}.`;
}

const MOST_MARKS = 5;

const COOLANT = { unit: "°C", decimals: 1 };
/** °C: what is told of even where it is as likely chance, because it may do what an older tube does. */
const TOLD = 1;

/** The mean of each session's coolant before a change and since; empty where it was much the same. */
export function coolantWords(
  before: readonly (readonly ReviewRun[])[],
  since: readonly (readonly ReviewRun[])[],
): string {
  const [first, later] = [before.flatMap(coolantOf), since.flatMap(coolantOf)];
  if (first.length === 0 || later.length === 0)
    return "The coolant is not known of both, and it may be the cause.";
  const [was, is] = [mean(first), mean(later)];
  if (Math.abs(is - was) < TOLD) return "";
  return `The coolant was ${measured(Math.abs(is - was), COOLANT)} ${is > was ? "warmer" : "cooler"} since (${measured(was, COOLANT)} before, ${measured(is, COOLANT)} since), which may be the cause.`;
}

/** The mean of a session in which it is known. */
function coolantOf(session: readonly ReviewRun[]): number[] {
  const known = session.flatMap((run) => conditionOf(run, "coolant_C") ?? []);
  return known.length === 0 ? [] : [mean(known)];
}

/** Lots that were not cut before a change, where the lots are known: the sheet may be what changed. */
export function lotWords(before: readonly ReviewRun[], since: readonly ReviewRun[]): string | null {
  const known = new Set(before.map(({ lot }) => lot));
  const other = new Set(since.map(({ lot }) => lot).filter((lot) => lot !== null && !known.has(lot)));
  if (other.size === 0) return null;
  return `${counted(other.size, "lot")} of it (${listed([...other].sort() as string[])}) ${other.size === 1 ? "was" : "were"} not cut before the change: the sheet may be what is different.`;
}
