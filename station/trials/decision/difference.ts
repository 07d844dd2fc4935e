import type { LotDifference, Verdict } from "../../model/decision.js";
import type { SpecimenView } from "../../model/specimen.js";
import { counted } from "../../review/counted.js";
import { groupedBy } from "../../review/grouped.js";
import { fewestPairs, pairedDifference } from "../../review/paired.js";
import { SIMULATED_FLAG } from "../flags.js";
import { settingOf } from "../plans/cut-setting.js";
import { CONFIDENCE } from "./figures.js";
import type { Measure } from "./measures.js";
import { between, shown, sized } from "./shown.js";

interface Named {
  readonly id: string;
  readonly name: string;
}

/**
 * Two lots within pairs of the same block and the same setting. Runs that were flagged are kept; where the conclusion would be
 * another without them, that is said.
 * @param specimens that count
 */
export function differenceOf(
  measure: Measure,
  first: Named,
  second: Named,
  specimens: readonly SpecimenView[],
): LotDifference {
  const all = compared(measure, first, second, specimens);
  const steady = specimens.filter((specimen) => !isFlagged(specimen));
  const without = steady.length === specimens.length ? all : compared(measure, first, second, steady);
  const { way: _way, ...found } = all;
  const words = withoutFlagged(all, without);
  return words === null ? found : { ...found, sentence: `${found.sentence} ${words}` };
}

/** Null where it makes no difference. */
function withoutFlagged(all: Compared, without: Compared): string | null {
  if (without.verdict === all.verdict && without.way === all.way) return null;
  if (without.verdict === "nothing") return "In every pair there is a run that was flagged.";
  if (without.verdict === "too few")
    return `Without the flagged runs ${counted(without.pairs, "pair")} ${without.pairs === 1 ? "is" : "are"} left, too few to tell.`;
  return `Without the flagged runs: ${without.sentence}`;
}

type Compared = LotDifference & { readonly way: number };

/** That it is the simulated bench is true of all its runs alike, and tells none of them from another. */
export function isFlagged({ runs }: SpecimenView): boolean {
  return runs.some(({ flags }) => flags.some(({ flag }) => flag !== SIMULATED_FLAG.flag));
}

function compared(
  measure: Measure,
  first: Named,
  second: Named,
  specimens: readonly SpecimenView[],
): Compared {
  const { estimate, lower, upper, p, n } = pairedDifference(
    pairsOf(measure, first.id, second.id, specimens),
    CONFIDENCE,
  );
  const verdict = verdictOf(n, lower, upper, 0);
  const way = verdict === "apart" ? Math.sign(estimate as number) : 0;
  const figures = { estimate, lower, upper, p, verdict, pairs: n };
  const sentence = sentenceOf(measure, first.name, second.name, figures);
  return { first: first.id, second: second.id, ...figures, sentence, way };
}

/** @param same the value that means no difference */
export function verdictOf(n: number, lower: number | null, upper: number | null, same: number): Verdict {
  if (n === 0) return "nothing";
  if ((lower !== null && lower > same) || (upper !== null && upper < same)) return "apart";
  return lower === null && upper === null ? "too few" : "cannot tell";
}

/** Of each pair the second less the first; of several of one lot in a block at one setting, one after the other. */
function pairsOf(
  { of }: Measure,
  first: string,
  second: string,
  specimens: readonly SpecimenView[],
): number[] {
  const seen = specimens.flatMap((specimen) => {
    const { lot, block, place } = specimen;
    const value = of(specimen);
    if (value === null || (lot !== first && lot !== second)) return [];
    const { speed_mm_s, power_pct, passes } = settingOf(specimen);
    return [{ lot, block, place, value, alike: [block, speed_mm_s, power_pct, passes].join("|") }];
  });
  seen.sort((a, b) => a.block - b.block || a.place - b.place);
  return [...groupedBy(seen, ({ alike }) => alike).values()].flatMap((its) => {
    const [ones, others] = [first, second].map((id) => its.filter(({ lot }) => lot === id));
    return (ones ?? []).flatMap(({ value }, i) => {
      const other = others?.[i];
      return other === undefined ? [] : [other.value - value];
    });
  });
}

function sentenceOf(
  { name, unit, words, lessIsBetter }: Measure,
  first: string,
  second: string,
  {
    estimate,
    lower,
    upper,
    verdict,
    pairs,
  }: Pick<LotDifference, "estimate" | "lower" | "upper" | "verdict" | "pairs">,
): string {
  if (verdict === "nothing" || estimate === null)
    return `${name}: cannot tell ${first} and ${second} apart, for no two were looked at in the same block at the same setting.`;
  if (verdict === "too few")
    return `${name}: cannot tell ${first} and ${second} apart from ${counted(pairs, "pair")}; ${fewestPairs(CONFIDENCE)} are the fewest that can.`;
  if (verdict === "cannot tell") {
    const ends = `${between(lower, upper, unit)}, ${counted(pairs, "pair")}`;
    const told =
      shown(estimate) === "0"
        ? `in the middle they are alike (${second} less ${first}: ${ends})`
        : `the difference, ${second} less ${first}, is ${sized(estimate, unit)} (${ends})`;
    return `${name}: cannot tell ${first} and ${second} apart; ${told}.`;
  }
  const size = `${sized(Math.abs(estimate), unit)} (${between(...upwards(lower, upper, estimate), unit)}, ${counted(pairs, "pair")})`;
  if (lessIsBetter === null)
    return `${name}: ${second} has ${estimate > 0 ? "more" : "less"} than ${first} by ${size}.`;
  const better = estimate < 0 === lessIsBetter ? second : first;
  const other = better === second ? first : second;
  return words === null
    ? `${name}: ${better} has ${lessIsBetter ? "less" : "more"} than ${other}, which is better, by ${size}.`
    : `${name}: ${better} is better than ${other} by ${size}.`;
}

/** Limits of the size of a difference, whichever way it is. */
function upwards(
  lower: number | null,
  upper: number | null,
  estimate: number,
): [number | null, number | null] {
  if (estimate > 0) return [lower, upper];
  return [upper === null ? null : -upper, lower === null ? null : -lower];
}
