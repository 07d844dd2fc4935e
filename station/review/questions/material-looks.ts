import type { MaterialLook } from "../../model/review.js";
import { type ExactOddsRatio, exactOddsRatio } from "../exact-table.js";
import { gradedDifference } from "../ordinal.js";
import type { JudgedRun } from "./base.js";
import { pWords, times } from "./figure-words.js";
import { strengthLook } from "./strength-look.js";
import type { Course } from "./together.js";

/** Other looks at the same two stocks that need no curve: through at like speeds in like blocks, grades, and strength. */
export function looksAt(
  firsts: readonly JudgedRun[],
  seconds: readonly JudgedRun[],
  names: readonly [string, string],
  beside: readonly Course[],
): MaterialLook[] {
  return [
    byBlock(firsts, seconds, names),
    byGrade(firsts, seconds, names),
    strengthLook(firsts, seconds, names, beside),
  ].filter((look) => look !== null);
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
  const isBlocked = [...firsts, ...seconds].every(({ block }) => block !== null);
  const ratio = exactOddsRatio(
    cells.map(({ first: one, second: other }) => ({
      firstHits: one.filter((run) => run.through).length,
      firstMisses: one.filter((run) => !run.through).length,
      secondHits: other.filter((run) => run.through).length,
      secondMisses: other.filter((run) => !run.through).length,
    })),
  );
  const { p, n, method, warnings } = ratio;
  return {
    what: isBlocked ? "By block and speed" : "By speed",
    sentence: `Of cuts at the same speed${isBlocked ? " in the same block" : ""} alone: ${blockWords(ratio, first, second)}`,
    ...{ estimate: finite(ratio.estimate), lower: finite(ratio.lower), upper: finite(ratio.upper) },
    ...{ p, n, method, warnings },
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
