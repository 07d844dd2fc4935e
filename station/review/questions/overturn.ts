import type { Conditions } from "../../model/review.js";
import type { Base } from "./base.js";
import { type Imbalance, UNEVEN } from "./beside.js";
import { changeOfSpeed, effectOf } from "./effect.js";
import { measured, perCent } from "./figure-words.js";
import type { SpeedRatio } from "./speed-ratio.js";

interface Found {
  /** With the step of the second stock among its terms. */
  readonly base: Base;
  readonly plain: SpeedRatio;
  readonly uneven: readonly Imbalance[];
  readonly names: readonly [string, string];
}

const MOST = 3;

/**
 * How large the effect of each condition that was uneven would have to be to make up the whole difference of two stocks, beside what the
 * runs show of it.
 */
export function overturnWords({ base, plain, uneven, names }: Found, conditions: Conditions): string[] {
  if (plain.estimate === null || plain.estimate === 1) return [];
  const difference = Math.log(plain.estimate);
  const worth = uneven.filter(({ closeness }, i) => i < MOST && closeness >= UNEVEN);
  return worth.flatMap(({ course, shift, firstMean, secondMean }): string[] => {
    const facts = conditions[course.id];
    if (facts === undefined) return [];
    const alike = measured(firstMean, facts) === measured(secondMean, facts);
    const means = `${course.name} was ${measured(firstMean, facts)} for ${names[0]} and ${measured(secondMean, facts)} for ${names[1]}`;
    if (alike) return [`${means}: alike, so that it cannot have made the difference.`];
    const away = measured(Math.abs(shift), facts);
    const effect = effectOf(base, course);
    const { estimate: share, lower, upper } = changeOfSpeed(effect, shift);
    const seen =
      share === null
        ? "what it does is not known from these runs"
        : `these runs show ${signed(share)} for so much${lower === null || upper === null ? ", how much at most cannot be told" : `, limits ${signed(lower)} to ${signed(upper)}`}`;
    return [
      `${means}: to make up the whole difference, ${away} ${shift > 0 ? "more" : "less"} would have to change the fastest speed by ${signed(Math.expm1(difference))}; ${seen}.`,
    ];
  });
}

function signed(share: number): string {
  if (share > 9) return "more than 10 times";
  return `${share < 0 ? "−" : "+"}${Math.abs(share) < 0.1 ? `${(Math.abs(share) * 100).toFixed(1)} %` : perCent(share)}`;
}
