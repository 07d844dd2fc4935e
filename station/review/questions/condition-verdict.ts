import type { ConditionVerdict } from "../../model/review.js";
import type { Base } from "./base.js";
import { changedWithBlocks, FROM_GO_TO_GO } from "./clusters.js";
import { detectableOf, type Effect, ofSpeed, pBeside, pTogether } from "./effect.js";
import { established, LEVEL } from "./established.js";
import { isNotedByOutcome } from "./noted.js";
import { BESIDE, type Course, chained, closeness, distanceFrom, TOGETHER } from "./together.js";

/** What is concluded of a condition, before it is put into words. */
export interface Concluded {
  /** As it was looked at. */
  readonly course: Course;
  /** The value that its distance was looked at from; null where it is the condition itself. */
  readonly about: number | null;
  readonly effect: Effect;
  readonly verdict: ConditionVerdict;
  /** Holm's, over all conditions that could be tested. */
  readonly p: number | null;
  /** Ids of what it moved together with. */
  readonly with: readonly string[];
  /** What it was not seen beside: it may be this and not the condition. */
  readonly hidden: readonly string[];
  /** Why it is not said to explain though it shows plainly; null for no such reason. */
  readonly doubt: string | null;
  /** The change of the logit from its low to its high end that would mostly have been shown. */
  readonly detectable: number | null;
}

/** Things that moved together, at least one of them a condition. */
export interface Group {
  readonly ids: readonly string[];
  /** Of its conditions tested together. */
  readonly p: number | null;
  readonly n: number;
}

/** Of a condition beside one other, or of several together, which Holm does not count. */
const ALONE = 0.05;
/** A share of speed: an effect that could be as large as this, unseen, is no sign of nothing. */
const MATTERS = 0.25;
/** The same of the logit (20 times the odds), where speed was not varied. */
const MATTERS_LOGIT = 3;

/**
 * One verdict for each condition: `explains` only where Holm's p is 4.5 % or less, it moved together with nothing, and it shows beside
 * everything that it hung together with somewhat; so that histories in which only speed matters say it of any in at most 5 in 100.
 * @param elsewhere time, and the marks of upkeep
 */
export function conclude(
  base: Base,
  conditions: readonly Course[],
  elsewhere: readonly Course[],
): { readonly concluded: readonly Concluded[]; readonly groups: readonly Group[] } {
  const courses = [...conditions, ...elsewhere];
  const near = new Map(
    conditions.map((one) => [
      one.id,
      new Map(courses.map((other) => [other.id, one.id === other.id ? 0 : nearest(base, one, other)])),
    ]),
  );
  const nearness = (one: Course, other: Course) => near.get(one.id)?.get(other.id) ?? 0;
  const pairs = conditions.flatMap((one) =>
    courses.flatMap((other) => (nearness(one, other) >= TOGETHER ? [[one.id, other.id] as const] : [])),
  );
  const together = chained(
    courses.map(({ id }) => id),
    pairs,
  );
  const moved = (id: string) => together.find((ids) => ids.includes(id)) ?? [id];
  const { found, kept } = established(base, conditions, moved);
  const groups = together.map(
    (ids): Group => ({
      ids,
      ...pTogether(
        base,
        found.map(({ course }) => course).filter(({ id }) => ids.includes(id)),
      ),
    }),
  );
  const tests = Math.max(1, found.filter(({ effect }) => effect.p !== null).length);
  const concluded = found.map(({ course, about, effect, p }): Concluded => {
    const group = groups.find(({ ids }) => ids.includes(course.id));
    const isHiddenBy = (other: Course) => {
      const beside = kept.filter(({ id }) => id !== course.id && id !== other.id);
      return !((pBeside(base, course, [...beside, other]) ?? 1) <= ALONE);
    };
    const isCandidate = group === undefined && p !== null && p <= LEVEL;
    const others = kept.filter(({ id }) => id !== course.id);
    const blocks = isCandidate && changedWithBlocks(base, course, others) ? [FROM_GO_TO_GO] : [];
    const hiding = isCandidate
      ? courses
          .filter((other) => nearness(course, other) >= BESIDE && !kept.some(({ id }) => id === other.id))
          .filter(isHiddenBy)
          .map(({ id }) => id)
      : [];
    const hidden = [...hiding, ...blocks];
    const detectable = detectableOf(effect, tests);
    const shows = verdictOf(effect, { p, hidden, detectable, group });
    const doubt = shows === "explains" ? doubtOf(base, course) : null;
    return {
      ...{ course, about, effect, p, hidden, detectable, doubt },
      with: moved(course.id).filter((id) => id !== course.id),
      verdict: doubt === null ? shows : "may explain",
    };
  });
  return { concluded, groups };
}

/** The closest that two moved together, each as it is or by its distance from where it is right; 0 where that cannot be told. */
function nearest(base: Base, one: Course, other: Course): number {
  const ways = (course: Course) =>
    course.about === undefined ? [course] : [course, distanceFrom(course, course.about)];
  return Math.max(...ways(one).flatMap((a) => ways(other).map((b) => closeness(base.runs, a, b) ?? 0)));
}

/** Why nothing can be explained by a condition however plainly it shows: a sentence's end; null where nothing stands against it. */
function doubtOf(base: Base, course: Course): string | null {
  if (isNotedByOutcome(base, course)) return "it was not noted as often for good runs as for bad ones";
  const unknown = base.runs.filter(({ material }) => material === null).length;
  return unknown * 2 > base.runs.length ? "what was cut is not known of most runs" : null;
}

function verdictOf(
  effect: Effect,
  found: Pick<Concluded, "p" | "hidden" | "detectable"> & { readonly group: Group | undefined },
): ConditionVerdict {
  if (effect.p === null || found.p === null) return "cannot tell";
  const may = effect.p <= ALONE || (found.group?.p ?? 1) <= ALONE;
  if (found.group === undefined && found.p <= LEVEL && effect.p <= ALONE && found.hidden.length === 0)
    return "explains";
  if (may) return "may explain";
  return wouldShow(effect, found.detectable) ? "no sign" : "cannot tell";
}

function wouldShow({ slope }: Effect, detectable: number | null): boolean {
  if (detectable === null) return false;
  const share = ofSpeed(-detectable, slope);
  return share === null ? detectable <= MATTERS_LOGIT : -share <= MATTERS;
}
