import type { MaterialLook, ReviewFigures } from "../../model/review.js";
import type { Block } from "../block.js";
import { equivalence } from "../equivalence.js";
import { linearModel } from "../linear-model.js";
import { rankDifference } from "../mann-whitney.js";
import { meanDifference } from "../welch.js";
import type { JudgedRun } from "./base.js";
import { inSentence, listed, perCent, pWords } from "./figure-words.js";
import { SAME } from "./material-words.js";
import type { Course } from "./together.js";

/** A piece that was tested. */
interface Tested {
  readonly run: JudgedRun;
  readonly log: number;
  readonly isSecond: boolean;
}

/** Logarithms of the ratio, and what they go by. */
type Found = Omit<ReviewFigures, "sentence">;

/** Beyond, ranks take too long; Welch's test does as well there. */
const MOST_RANKED = 60;
/** Degrees of freedom that are left to judge by: with fewer the ranks say more than any model. */
const LEAST_FREEDOM = 6;
const LEVEL = 0.05;

/**
 * The strength of two stocks as a ratio: beside the blocks and the conditions that were uneven where enough pieces were tested for a model
 * (analysis of covariance of the logarithms), else by ranks.
 * @param beside what is taken into account
 * @returns null where one of them was never tested
 */
export function strengthLook(
  firsts: readonly JudgedRun[],
  seconds: readonly JudgedRun[],
  [first, second]: readonly [string, string],
  beside: readonly Course[],
): MaterialLook | null {
  const tested = [
    ...firsts.map((run) => ({ run, isSecond: false })),
    ...seconds.map((run) => ({ run, isSecond: true })),
  ].flatMap(({ run, isSecond }): Tested[] =>
    run.strength !== null && run.strength > 0 ? [{ run, isSecond, log: Math.log(run.strength) }] : [],
  );
  const logs = (which: boolean) => tested.filter(({ isSecond }) => isSecond === which).map(({ log }) => log);
  const sample: Block = { first: logs(false), second: logs(true) };
  if (sample.first.length === 0 || sample.second.length === 0) return null;
  const modelled = byModel(tested, beside);
  const found = modelled?.found ?? byRanks(sample);
  const [estimate, lower, upper] = [found.estimate, found.lower, found.upper].map((log) =>
    log === null ? null : Math.exp(log),
  ) as [number | null, number | null, number | null];
  const pieces = `${sample.first.length} and ${sample.second.length} pieces`;
  const held =
    modelled === null || modelled.words.length === 0
      ? ""
      : `, with ${listed(modelled.words)} taken into account`;
  return {
    what: "Strength",
    sentence:
      estimate === null || found.p === null
        ? `Strength: cannot tell (${pieces}). ${found.warnings[0] ?? ""}`.trim()
        : `Strength: ${second} has ${shown(estimate)} times that of ${first}${held} (${limitWords(lower, upper)}, ${pWords(found.p)}, ${pieces})${endWords(found.p, sample)}.`,
    ...{ estimate, lower, upper, p: found.p, n: found.n },
    method: `of the logarithms: ${found.method}`,
    warnings: found.warnings,
  };
}

function endWords(p: number, { first, second }: Block): string {
  if (p <= LEVEL) return "";
  const same = equivalence(first, second, Math.log1p(SAME));
  return same.equivalent === true
    ? `: as strong as each other within ${perCent(SAME)}`
    : ": no difference is shown";
}

/** @returns null where there is nothing to take into account, or too little is left to judge by */
function byModel(
  tested: readonly Tested[],
  beside: readonly Course[],
): { readonly found: Found; readonly words: readonly string[] } | null {
  const courses = beside.filter((course) => tested.every(({ run }) => course.of(run) !== null));
  const blocks = [...new Set(tested.map(({ run }) => run.block))].filter((block) => block !== null);
  const isBlocked = blocks.length > 1 && tested.every(({ run }) => run.block !== null);
  if (courses.length === 0 && !isBlocked) return null;
  const step = "the second stock";
  const model = linearModel(
    tested.map(({ log }) => log),
    [
      ...(isBlocked
        ? blocks.slice(1).map((block) => ({
            name: `block ${block}`,
            values: tested.map(({ run }) => (run.block === block ? 1 : 0)),
          }))
        : []),
      ...courses.map((course) => ({
        name: course.name,
        values: tested.map(({ run }) => course.of(run) as number),
      })),
      { name: step, values: tested.map(({ isSecond }) => (isSecond ? 1 : 0)) },
    ],
  );
  const its = model.coefficients.find(({ name }) => name === step);
  if (its === undefined || its.p === null || model.freedom < LEAST_FREEDOM) return null;
  const { estimate, lower, upper, p } = its;
  return {
    found: {
      ...{ estimate, lower, upper, p, n: tested.length },
      method: `analysis of covariance, ${model.method}`,
      warnings: model.warnings,
    },
    words: [...(isBlocked ? ["the blocks"] : []), ...courses.map(({ name }) => inSentence(name))],
  };
}

function byRanks({ first, second }: Block): Found {
  return first.length + second.length <= MOST_RANKED
    ? rankDifference(first, second)
    : meanDifference(first, second);
}

function limitWords(lower: number | null, upper: number | null): string {
  return lower === null || upper === null ? "no limits" : `limits ${shown(lower)} to ${shown(upper)}`;
}

function shown(value: number): string {
  return String(Number(value.toPrecision(3)));
}
