import type { ConditionFacts, ReviewMark } from "../../model/review.js";
import { mean } from "../moments.js";
import { doubledRanks } from "../signed-rank.js";
import type { JudgedRun } from "./base.js";
import { stockOf } from "./stocks.js";

/** From here on two things are said to have moved together: each then tells half or more of the other's spread. */
export const TOGETHER = 0.7;
/** From here on a condition has to be seen beside the other as well before it is said to explain anything. */
export const BESIDE = 0.3;
const ROUNDING = 1e-12;
/** Marks that are looked at, newest first. */
const MOST_MARKS = 20;
/** Share of the runs with a time: below, their order is looked at too. */
const MOSTLY_TIMED = 0.8;

/** Something that changed along the runs. */
export interface Course {
  /** The id of a condition, "time", "order", or a mark's words and day. */
  readonly id: string;
  /** For people. */
  readonly name: string;
  /** Null where it is not known. */
  readonly of: (run: JudgedRun) => number | null;
  /** The value from which either way may be bad. */
  readonly about?: number;
}

export function conditionCourse(id: string, { name, about }: Pick<ConditionFacts, "name" | "about">): Course {
  return { id, name, of: (run) => conditionOf(run, id), ...(about === undefined ? {} : { about }) };
}

/** Those in which all of the courses are known. */
export function knownIn(runs: readonly JudgedRun[], courses: readonly Course[]): readonly JudgedRun[] {
  return runs.filter((run) => courses.every((course) => course.of(run) !== null));
}

/** How far a course lay from a value, whichever way. */
export function distanceFrom(course: Course, about: number): Course {
  return {
    id: course.id,
    name: course.name,
    of(run) {
      const value = course.of(run);
      return value === null ? null : Math.abs(value - about);
    },
  };
}

/** Of a condition; null where it is not known or no number. */
export function conditionOf({ conditions }: Pick<JudgedRun, "conditions">, id: string): number | null {
  const value = conditions[id];
  return value !== undefined && Number.isFinite(value) ? value : null;
}

/** Time itself, and for each mark of upkeep whether a run was cut after it: what else may have changed with a condition. */
export function otherCourses(runs: readonly JudgedRun[], marks: readonly ReviewMark[]): Course[] {
  const known = runs.filter(({ wall }) => wall !== null);
  const places = new Map(runs.map(({ id }, i) => [id, i]));
  // A sheet without times is mostly written down as it was cut.
  const order = {
    id: "order",
    name: "the order of the runs",
    of: ({ id }: JudgedRun) => places.get(id) ?? null,
  };
  const isTimed = known.length >= MOSTLY_TIMED * runs.length;
  const walls = known.map(({ wall }) => wall as number);
  if (walls.length < 3) return [order];
  const within = marks
    .filter(({ wall }) => walls.filter((at) => at < wall).length >= 2)
    .filter(({ wall }) => walls.filter((at) => at >= wall).length >= 2)
    .sort((a, b) => b.wall - a.wall)
    .slice(0, MOST_MARKS);
  const steps = within.map((mark): Course => {
    const words = `${mark.what} on ${new Date(mark.wall).toISOString().slice(0, 10)}`;
    return {
      ...{ id: words, name: words },
      of: ({ wall }) => (wall === null ? null : wall >= mark.wall ? 1 : 0),
    };
  });
  const once = steps.filter(({ id }, i) => steps.findIndex((other) => other.id === id) === i);
  return [
    ...(isTimed ? [] : [order]),
    { id: "time", name: "time itself", of: ({ wall }: JudgedRun) => wall },
    ...once,
  ];
}

/**
 * How closely two things moved together within the stocks, 0 to 1: the correlation of their values or of their ranks, whichever is
 * more, after each stock's mean was taken off.
 * @returns null where fewer than 3 runs have both, or one of them never changed
 */
export function closeness(runs: readonly JudgedRun[], one: Course, other: Course): number | null {
  const both = knownIn(runs, [one, other]);
  if (both.length < 3) return null;
  const stocks = both.map(stockOf);
  const [a, b] = [one, other].map((course) => both.map((run) => course.of(run) as number)) as [
    number[],
    number[],
  ];
  const plain = correlation(withoutMeans(a, stocks), withoutMeans(b, stocks));
  const ranked = correlation(withoutMeans(doubledRanks(a), stocks), withoutMeans(doubledRanks(b), stocks));
  if (plain === null || ranked === null) return null;
  return Math.max(Math.abs(plain), Math.abs(ranked));
}

/** Those that hang together through any chain of others, in the order they came; single ones left out. */
export function chained(ids: readonly string[], pairs: readonly (readonly [string, string])[]): string[][] {
  const groupOf = new Map(ids.map((id) => [id, new Set([id])]));
  for (const [a, b] of pairs) {
    const [one, other] = [groupOf.get(a), groupOf.get(b)];
    if (one === undefined || other === undefined || one === other) continue;
    for (const id of other) {
      one.add(id);
      groupOf.set(id, one);
    }
  }
  return [...new Set(groupOf.values())]
    .filter((group) => group.size > 1)
    .map((group) => ids.filter((id) => group.has(id)));
}

function withoutMeans(values: readonly number[], stocks: readonly string[]): number[] {
  const sums = new Map<string, { sum: number; n: number }>();
  values.forEach((value, i) => {
    const stock = stocks[i] as string;
    const { sum, n } = sums.get(stock) ?? { sum: 0, n: 0 };
    sums.set(stock, { sum: sum + value, n: n + 1 });
  });
  return values.map((value, i) => {
    const { sum, n } = sums.get(stocks[i] as string) as { sum: number; n: number };
    const off = value - sum / n;
    // What is left of a value that never changed is rounding.
    return Math.abs(off) <= ROUNDING * Math.abs(value) ? 0 : off;
  });
}

function correlation(a: readonly number[], b: readonly number[]): number | null {
  const [meanA, meanB] = [mean(a), mean(b)];
  let [ab, aa, bb] = [0, 0, 0];
  a.forEach((value, i) => {
    const [x, y] = [value - meanA, (b[i] as number) - meanB];
    ab += x * y;
    aa += x * x;
    bb += y * y;
  });
  return aa > 0 && bb > 0 ? ab / Math.sqrt(aa * bb) : null;
}
