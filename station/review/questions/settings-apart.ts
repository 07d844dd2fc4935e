import type { ReviewRun } from "../../model/review.js";
import { correlationRatio } from "../moments.js";
import { CONFOUNDED } from "./beside.js";
import { listed } from "./figure-words.js";

/** Why two stocks cannot be compared by how fast they were cut: something else of the setting changed with them. */
export interface SettingApart {
  /** What was apart: "power was 60 % for A and 80 % for B". */
  readonly words: string;
  /** What to do about it. */
  readonly next: string;
}

const SETTINGS = [
  { name: "power", unit: " %", of: ({ power_pct }: ReviewRun) => power_pct },
  { name: "number of passes", unit: "", of: ({ passes }: ReviewRun) => passes },
] as const;
/** Share of a stock's runs: where it is not known of more, nobody knows whether it was the same. */
const MOSTLY = 0.5;

/**
 * Power and passes that changed with the stock, or are known of one of them alone.
 * @param firsts runs whose speed and outcome are known
 * @param seconds the same of the other
 */
export function settingsApart(
  firsts: readonly ReviewRun[],
  seconds: readonly ReviewRun[],
  [first, second]: readonly [string, string],
): SettingApart[] {
  if (firsts.length === 0 || seconds.length === 0) return [];
  return SETTINGS.flatMap(({ name, unit, of }): SettingApart[] => {
    const known = [firsts, seconds].map((runs) => runs.flatMap((run) => of(run) ?? []));
    const [a, b] = known as [number[], number[]];
    const isUnknown = [a.length < MOSTLY * firsts.length, b.length < MOSTLY * seconds.length];
    if (isUnknown[0] !== isUnknown[1])
      return [
        {
          words: `the ${name} is not known for ${isUnknown[0] ? first : second} and may have been another`,
          next: `Cut both with the same ${name}, and note it.`,
        },
      ];
    const isOne = new Set([...a, ...b]).size < 2;
    if (isOne || correlationRatio(a.map(Math.log), b.map(Math.log)) < CONFOUNDED) return [];
    const shown = (values: readonly number[]) =>
      listed(
        [...new Set(values)]
          .sort((x, y) => x - y)
          .slice(0, 4)
          .map(String),
      );
    return [
      {
        words: `the ${name} was ${shown(a)}${unit} for ${first} and ${shown(b)}${unit} for ${second}`,
        next: `Cut both with the same ${name}.`,
      },
    ];
  });
}
