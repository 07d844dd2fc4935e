import type { Conditions, MaterialSpeed, MaterialsAnswer, ReviewRun } from "../../model/review.js";
import { thresholdSpeed } from "../threshold.js";
import { baseOf, type JudgedRun } from "./base.js";
import { CONFOUNDED, imbalances, takenInto } from "./beside.js";
import { effectOf } from "./effect.js";
import { looksAt } from "./material-looks.js";
import { materialSentence, verdictOf } from "./material-words.js";
import { nextOfTwo } from "./next-of-two.js";
import { overturnWords } from "./overturn.js";
import { settingsApart } from "./settings-apart.js";
import { SECOND, type SpeedRatio, speedRatio } from "./speed-ratio.js";
import type { Stock } from "./stocks.js";
import { knownIn } from "./together.js";

const MATERIALS_METHOD =
  "one logistic curve in log speed for both with Firth's penalty, moved by a ratio; penalised likelihood-ratio test and profile limits of 95 %; equal within a margin by two one-sided tests of 5 %";
const CONFIDENCE = 0.95;
/** Two one-sided tests of 5 % are limits of 90 %. */
const TWICE_ONE_SIDED = 0.9;
const NONE: SpeedRatio = { estimate: null, lower: null, upper: null, p: null, n: 0 };

/**
 * Question two: of two stocks the one that is cut through faster, beside the conditions that were uneven between them.
 * @param runs all that there are, in any order; a run of both stocks counts for neither
 */
export function reviewMaterials(
  runs: readonly ReviewRun[],
  first: Stock,
  second: Stock,
  conditions: Conditions,
): MaterialsAnswer {
  const own = runs.filter((run) => first.of(run) !== second.of(run));
  const base = baseOf(own);
  const isSecond = (run: JudgedRun) => second.of(run);
  const [firsts, seconds] = [base.runs.filter((run) => !isSecond(run)), base.runs.filter(isSecond)];
  const names = [first.name, second.name] as const;
  const told = own.filter(({ through, speed_mm_s }) => through !== null && speed_mm_s !== null);
  const apart = settingsApart(
    told.filter((run) => !second.of(run)),
    told.filter(second.of),
    names,
  );
  const uneven = imbalances(base.runs, isSecond, conditions);
  const beside = takenInto(uneven, base.runs);
  const termsOf = (some: readonly JudgedRun[]) => [
    ...base.settingTermsOf(some),
    { name: SECOND, values: some.map((run) => (isSecond(run) ? 1 : 0)) },
  ];
  const ratioOf = (courses: readonly (typeof beside)[number][], confidence: number): SpeedRatio => {
    const some = knownIn(
      base.runs,
      courses.map(({ course }) => course),
    );
    const isMixed = (is: (run: JudgedRun) => boolean) => some.some(is) && !some.every(is);
    if (!isMixed(isSecond) || !isMixed(({ through }) => through)) return { ...NONE, n: some.length };
    const its = courses.map(({ course }) => ({
      name: course.id,
      values: some.map((run) => course.of(run) as number),
    }));
    return speedRatio(
      [...termsOf(some), ...its],
      some.map(({ through }) => through),
      confidence,
    );
  };
  const plain = ratioOf([], CONFIDENCE);
  const adjusted = beside.length === 0 ? plain : ratioOf(beside, CONFIDENCE);
  const close = ratioOf(beside, TWICE_ONE_SIDED);
  const confounded = uneven.filter(({ closeness, isKnown }) => isKnown && closeness >= CONFOUNDED);
  const explaining = beside.filter(
    ({ course }) => (effectOf({ ...base, termsOf }, course, others(course)).p ?? 1) <= 0.05,
  );
  function others(course: { readonly id: string }) {
    return beside.filter((one) => one.course.id !== course.id).map((one) => one.course);
  }
  const order = orderOf(firsts, seconds, names);
  const found = {
    names,
    apart,
    order,
    speeds: [...new Set(base.runs.map(({ speed_mm_s }) => speed_mm_s))],
    plain,
    adjusted,
    close,
    confounded,
    explaining,
    beside,
    counts: [firsts.length, seconds.length] as const,
    through: base.runs.filter(({ through }) => through).length,
  };
  const verdict = verdictOf(found);
  const { estimate, lower, upper, p, n } = adjusted;
  return {
    ...{ first: first.name, second: second.name, verdict },
    sentence: materialSentence(found, verdict, conditions),
    ...{ estimate, lower, upper, p, n, method: MATERIALS_METHOD },
    speeds: [speedOf(first.name, firsts), speedOf(second.name, seconds)],
    plain: { estimate: plain.estimate, lower: plain.lower, upper: plain.upper, p: plain.p },
    beside: beside.map(({ course }) => course.id),
    looks: looksAt(
      firsts,
      seconds,
      names,
      beside.map(({ course }) => course),
    ),
    overturn: overturnWords({ base: { ...base, termsOf }, plain, uneven, names }, conditions),
    next:
      apart.length > 0
        ? apart.map(({ next }) => ({ sentence: next, gain: null }))
        : verdict !== "cannot tell"
          ? [{ sentence: "These cuts are enough for that: more would change little.", gain: null }]
          : nextOfTwo(base.runs, termsOf(base.runs), [firsts, seconds], names),
    warnings: [
      ...base.warnings,
      ...(order === null ? [] : [orderWords(order)]),
      ...ofLots(firsts, seconds, names),
      ...confounded.map(
        ({ course }) =>
          `${course.name} changed with the stock: what one of them does cannot be told from the other.`,
      ),
    ],
  };
}

function speedOf(name: string, runs: readonly JudgedRun[]): MaterialSpeed {
  const cuts = runs.map(({ speed_mm_s, through }) => ({ speed_mm_s, through }));
  const { half, surely } = thresholdSpeed(
    cuts.map(({ speed_mm_s, through }) => ({ speedMmS: speed_mm_s, through })),
    CONFIDENCE,
  );
  return {
    name,
    n: runs.length,
    estimate: half.estimate,
    lower: half.lower,
    upper: half.upper,
    surely,
    cuts,
  };
}

/** The names in the order they were cut, where all of one came before the other; else null. */
function orderOf(
  firsts: readonly JudgedRun[],
  seconds: readonly JudgedRun[],
  [first, second]: readonly [string, string],
): readonly [string, string] | null {
  const walls = (runs: readonly JudgedRun[]) => runs.flatMap(({ wall }) => wall ?? []);
  const [a, b] = [walls(firsts), walls(seconds)];
  if (a.length === 0 || b.length === 0) return null;
  if (most(a) < least(b)) return [first, second];
  return most(b) < least(a) ? [second, first] : null;
}

function orderWords([before, after]: readonly [string, string]): string {
  return `All of ${before} was cut before any of ${after}: what else changed in between is not told from the stock. Cut both in turn.`;
}

/** What is found of some lots of a material holds for those. */
function ofLots(
  firsts: readonly JudgedRun[],
  seconds: readonly JudgedRun[],
  names: readonly [string, string],
): string[] {
  return [firsts, seconds].flatMap((runs, i) => {
    const lots = new Set(runs.map(({ lot }) => lot)).size;
    return lots < 2
      ? []
      : [
          `${names[i]} is ${lots} lots that count as one: they may differ among themselves, and the next lot from them.`,
        ];
  });
}

function most(values: readonly number[]): number {
  return values.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
}

function least(values: readonly number[]): number {
  return values.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
}
