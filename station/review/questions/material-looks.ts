import type { MaterialLook } from "../../model/review.js";
import { type ExactOddsRatio, exactOddsRatio } from "../exact-table.js";
import { rankDifference } from "../mann-whitney.js";
import { gradedDifference } from "../ordinal.js";
import { meanDifference } from "../welch.js";
import type { JudgedRun } from "./base.js";
import { pWords, times } from "./figure-words.js";

/** Beyond, ranks take too long; Welch's test does as well there. */
const MOST_RANKED = 60;

/** Other looks at the same two stocks that need no curve: through at like speeds in like blocks, grades, and strength. */
export function looksAt(
  firsts: readonly JudgedRun[],
  seconds: readonly JudgedRun[],
  names: readonly [string, string],
): MaterialLook[] {
  return [byBlock, byGrade, byStrength].flatMap((look) => look(firsts, seconds, names) ?? []);
}

type Look = (
  firsts: readonly JudgedRun[],
  seconds: readonly JudgedRun[],
  names: readonly [string, string],
) => MaterialLook | null;

/** Through or not, only ever held against pieces of the same block that were cut with the same setting. */
const byBlock: Look = (firsts, seconds, [first, second]) => {
  const cells = cellsOf(firsts, seconds);
  if (cells.length === 0) return null;
  const ratio = exactOddsRatio(
    cells.map(({ first: one, second: other }) => ({
      firstHits: one.filter((run) => run.through).length,
      firstMisses: one.filter((run) => !run.through).length,
      secondHits: other.filter((run) => run.through).length,
      secondMisses: other.filter((run) => !run.through).length,
    })),
  );
  const { p, n, method, warnings } = ratio;
  const [estimate, lower, upper] = [ratio.estimate, ratio.lower, ratio.upper].map(finite) as (
    | number
    | null
  )[];
  return {
    what: "By block and speed",
    sentence: `Held against each other only within a block and at one speed: ${blockWords(ratio, first, second)}`,
    ...{ estimate: estimate ?? null, lower: lower ?? null, upper: upper ?? null, p, n, method, warnings },
  };
};

const byGrade: Look = (firsts, seconds, [first, second]) => {
  const blocks = cellsOf(
    firsts.filter(({ grade }) => grade !== null),
    seconds.filter(({ grade }) => grade !== null),
  ).map((cell) => ({
    first: cell.first.map(({ grade }) => grade as number),
    second: cell.second.map(({ grade }) => grade as number),
  }));
  if (blocks.length === 0) return null;
  // The higher grade is the worse: the share of pairs in which the second is worse is turned about.
  const { estimate, lower, upper, p, n, method, warnings } = gradedDifference(blocks);
  const turned = (share: number | null) => (share === null ? null : 1 - share);
  const share = turned(estimate);
  return {
    what: "Grades of cut-through",
    sentence:
      share === null || p === null
        ? "Grades: cannot tell."
        : `Grades: of two pieces at one speed ${p <= 0.05 ? (share > 0.5 ? second : first) : "neither stock"} has the better one ${p <= 0.05 ? `${Math.round(100 * Math.max(share, 1 - share))} times in 100` : "more often than chance allows"} (${pWords(p)}).`,
    ...{ estimate: share, lower: turned(upper), upper: turned(lower), p, n, method, warnings },
  };
};

const byStrength: Look = (firsts, seconds, [first, second]) => {
  const logs = (runs: readonly JudgedRun[]) =>
    runs.flatMap(({ strength }) => (strength !== null && strength > 0 ? [Math.log(strength)] : []));
  const [a, b] = [logs(firsts), logs(seconds)];
  if (a.length === 0 || b.length === 0) return null;
  const isRanked = a.length + b.length <= MOST_RANKED;
  const found = isRanked ? rankDifference(a, b) : meanDifference(a, b);
  const ratio = (value: number | null) => (value === null ? null : Math.exp(value));
  const [estimate, lower, upper] = [ratio(found.estimate), ratio(found.lower), ratio(found.upper)];
  const limits = lower === null || upper === null ? "no limits" : `limits ${shown(lower)} to ${shown(upper)}`;
  return {
    what: "Strength",
    sentence:
      estimate === null || found.p === null
        ? "Strength: cannot tell."
        : `Strength: ${second} has ${shown(estimate)} times that of ${first} (${limits}, ${pWords(found.p)}, ${a.length} and ${b.length} pieces)${found.p <= 0.05 ? "" : ": no difference is shown"}.`,
    ...{
      estimate,
      lower,
      upper,
      p: found.p,
      n: found.n,
      method: `of the logarithms: ${found.method}`,
      warnings: found.warnings,
    },
  };
};

interface Cell {
  readonly first: readonly JudgedRun[];
  readonly second: readonly JudgedRun[];
}

/** Runs of both stocks that shared a block and a setting; where no block is told, a setting alone. */
function cellsOf(firsts: readonly JudgedRun[], seconds: readonly JudgedRun[]): Cell[] {
  const keyOf = ({ block, speed_mm_s, power_pct, passes }: JudgedRun) =>
    JSON.stringify([block, speed_mm_s, power_pct, passes]);
  const cells = new Map<string, { first: JudgedRun[]; second: JudgedRun[] }>();
  const cell = (run: JudgedRun) => {
    const found = cells.get(keyOf(run)) ?? { first: [], second: [] };
    cells.set(keyOf(run), found);
    return found;
  };
  for (const run of firsts) cell(run).first.push(run);
  for (const run of seconds) cell(run).second.push(run);
  return [...cells.values()].filter(({ first, second }) => first.length > 0 && second.length > 0);
}

function blockWords({ estimate, p }: ExactOddsRatio, first: string, second: string): string {
  if (p === null || estimate === null) return "no block could have told them apart.";
  if (p > 0.05) return `no difference is shown (${pWords(p)}).`;
  const [better, odds] = estimate > 1 ? [second, estimate] : [first, 1 / estimate];
  const often = Number.isFinite(odds) ? `with ${times(odds)} the odds` : "every time they differed";
  return `${better} goes through more often, ${often} (${pWords(p)}).`;
}

function finite(value: number | null): number | null {
  return value !== null && Number.isFinite(value) ? value : null;
}

function shown(value: number): string {
  return String(Number(value.toPrecision(3)));
}
