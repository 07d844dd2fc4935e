import type { Conditions } from "../../model/review.js";
import { counted } from "../counted.js";

import type { Imbalance } from "./beside.js";
import { inSentence, listed, measured, perCent, pWords } from "./figure-words.js";
import type { SettingApart } from "./settings-apart.js";
import type { SpeedRatio } from "./speed-ratio.js";

/** What was reckoned of two stocks. */
export interface Compared {
  readonly names: readonly [string, string];
  readonly plain: SpeedRatio;
  /** Beside the conditions that were uneven. */
  readonly adjusted: SpeedRatio;
  /** The same with limits of 90 %, for the two one-sided tests. */
  readonly close: SpeedRatio;
  readonly beside: readonly Imbalance[];
  /** Uneven to a degree that nothing can be told. */
  readonly confounded: readonly Imbalance[];
  /** Of those taken into account, the ones that matter. */
  readonly explaining: readonly Imbalance[];
  /** Settings that changed with the stock. */
  readonly apart: readonly SettingApart[];
  /** The names in the order they were cut, where all of one came before the other; else null. */
  readonly order: readonly [string, string] | null;
  /** Every speed that was cut at, mm/s. */
  readonly speeds: readonly number[];
  /** Judged runs of each. */
  readonly counts: readonly [number, number];
  /** Of both, how many went through. */
  readonly through: number;
}

const LEVEL = 0.05;
/** A ratio within this share of 1 is as good as the same. */
export const SAME = 0.1;
/** Limits within this share leave no difference that would matter much. */
const NEAR = 0.25;

/** The name of the better, "equivalent", "no sign" or "cannot tell". */
export function verdictOf({ names, adjusted, close, confounded, apart }: Compared): string {
  const { estimate, p } = adjusted;
  if (estimate === null || p === null || confounded.length > 0 || apart.length > 0) return "cannot tell";
  const isSame = (withinOf(close) ?? Number.POSITIVE_INFINITY) <= SAME;
  if (p <= LEVEL) return isSame ? "equivalent" : estimate > 1 ? names[1] : names[0];
  if (isSame) return "equivalent";
  return (withinOf(adjusted) ?? Number.POSITIVE_INFINITY) <= NEAR ? "no sign" : "cannot tell";
}

/** The least margin within which the two are as good as the same; null for none. */
function withinOf({ lower, upper }: SpeedRatio): number | null {
  return lower === null || upper === null ? null : Math.max(upper, 1 / lower, 1) - 1;
}

export function materialSentence(found: Compared, verdict: string, conditions: Conditions): string {
  const { names, plain, adjusted, close, confounded, explaining, beside, counts } = found;
  const [first, second] = names;
  if (found.apart.length > 0)
    return `Cannot tell ${first} and ${second} apart: ${listed(found.apart.map(({ words }) => words))}. ${found.apart[0]?.next ?? ""}`;
  const none = names.filter((_, i) => counts[i] === 0);
  if (none.length > 0)
    return `Cannot tell: of ${listed(none)} there is no run whose speed and outcome are known.`;
  const seen = `${counts[0]} and ${counted(counts[1], "run")}`;
  const all = counts[0] + counts[1];
  if (found.through === all || found.through === 0)
    return `Cannot tell ${first} and ${second} apart: ${found.through === 0 ? "no cut" : "every cut"} of either went through (${seen}). Cut both ${found.through === 0 ? "slower" : "faster"}.`;
  if (found.speeds.length === 1)
    return `Cannot tell ${first} and ${second} apart by speed: all were cut at ${found.speeds[0]} mm/s (${seen}). Cut both at more speeds.`;
  if (adjusted.estimate === null || adjusted.p === null)
    return `Cannot tell ${first} and ${second} apart: how often they go through is not seen to fall with speed (${seen}).`;
  if (confounded.length > 0) {
    const shifts = confounded.map((one) => shiftWords(one, second, conditions));
    const looked = plain.p !== null && plain.p <= LEVEL && plain.estimate !== null;
    return `Cannot tell: ${looked ? `${second} looks ${fasterWords(plain.estimate as number)} than ${first}, but ` : ""}${listed(shifts)}, and what that did cannot be told from the stock.`;
  }
  const wasApart = plain.p !== null && plain.p <= LEVEL && plain.estimate !== null;
  const because =
    wasApart && adjusted.p > LEVEL && explaining.length > 0
      ? `${second} looked ${fasterWords(plain.estimate as number)} than ${first}, and ${listed(explaining.map(({ course }) => inSentence(course.name)))} explains it: ${listed(explaining.map((one) => shiftWords(one, second, conditions)))}. `
      : wasApart && adjusted.p > LEVEL
        ? `${second} looked ${fasterWords(plain.estimate as number)} than ${first}; with ${listed(beside.map(({ course }) => inSentence(course.name)))} taken into account that is no longer certain. `
        : "";
  const held =
    beside.length > 0
      ? `, with ${listed(beside.map(({ course }) => inSentence(course.name)))} taken into account`
      : "";
  const limits = limitWords(adjusted, names);
  switch (verdict) {
    case "equivalent":
      return `${because}${first} and ${second} are as good as the same${held}: the speeds at which half the cuts go through lie within ${perCent(withinOf(close) ?? 0)} of each other (${seen}).`;
    case "no sign":
      return `${because}No sign that ${first} and ${second} differ${held}: ${limits} (${seen}).`;
    case "cannot tell":
      return `${because}Cannot tell ${first} and ${second} apart${held}: ${limits} (${seen}).`;
    default:
      return `${verdict} cuts through faster${held}: ${limits} (${pWords(adjusted.p)}, ${seen})${found.order === null ? "" : `, if nothing else changed after ${found.order[0]} was cut and before ${found.order[1]}`}.`;
  }
}

function limitWords({ estimate, lower, upper }: SpeedRatio, [first, second]: Compared["names"]): string {
  const at = (value: number | null) => (value === null ? null : value.toFixed(2));
  const open =
    lower !== null && upper !== null
      ? `limits ${at(lower)} to ${at(upper)}`
      : lower !== null
        ? `${at(lower)} or more`
        : upper !== null
          ? `${at(upper)} or less`
          : "no limits";
  return `the speed at which half the cuts of ${second} go through is ${at(estimate)} times that of ${first}, ${open}`;
}

function fasterWords(ratio: number): string {
  return `${perCent(ratio - 1)} ${ratio < 1 ? "slower" : "faster"}`;
}

function shiftWords({ course, shift }: Imbalance, second: string, conditions: Conditions): string {
  const facts = conditions[course.id] ?? { unit: "", decimals: 2 };
  return `${inSentence(course.name)} was ${measured(Math.abs(shift), facts)} ${shift > 0 ? "higher" : "lower"} for ${second}`;
}
