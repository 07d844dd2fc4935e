import { holm } from "../holm.js";
import type { Base } from "./base.js";
import { type Effect, effectOf } from "./effect.js";
import { type Course, distanceFrom } from "./together.js";

/** Below 5 %, because chi-square is a little generous with few runs: how often it is wrong is in the table of the README beside. */
export const LEVEL = 0.045;
/** Beside more than these there is nothing left to see anything by. */
const MOST_KEPT = 4;
/** Share of the runs: a condition that is known in fewer is not kept beside others, which would lose the rest of their runs to it. */
const LEAST_KNOWN = 0.8;

interface Looked {
  /** As it was looked at: itself, or its distance from where it is right. */
  readonly course: Course;
  /** The value that the distance is from; null where it is the condition itself. */
  readonly about: number | null;
  /** Beside those that matter, without itself and what it moved together with. */
  readonly effect: Effect;
}

interface Found extends Looked {
  /** Holm's, over those that were still in question when it was judged. */
  readonly p: number | null;
}

/**
 * Which conditions matter, the plainest first: one that does is kept in the fit, and the rest are tested anew beside it. Where a
 * condition that drifts slowly matters, outcomes that are near in time are alike, and another slow one would often seem to matter too.
 * @param groupOf the ids of all that a condition moved together with, its own among them: they are kept together
 */
export function established(
  base: Base,
  conditions: readonly Course[],
  groupOf: (id: string) => readonly string[],
): { readonly found: readonly Found[]; readonly kept: readonly Course[] } {
  const kept: Course[] = [];
  const settled = new Map<string, number>();
  const isMostlyKnown = (course: Course) =>
    base.runs.filter((run) => course.of(run) !== null).length >= LEAST_KNOWN * base.runs.length;
  for (;;) {
    const open = conditions.filter(({ id }) => !settled.has(id));
    const looks = open.map((course) => looked(base, course, kept.filter(isMostlyKnown)));
    const adjusted = holm(looks.map(({ effect }) => effect.p));
    const least = adjusted.reduce<number>((best, p, i) => (isLess(p, adjusted[best]) ? i : best), 0);
    const p = adjusted[least] ?? null;
    const first = looks[least]?.course;
    const isDone = p === null || p > LEVEL || first === undefined || kept.length >= MOST_KEPT;
    if (isDone) {
      const found = conditions.map((course): Found => {
        const place = open.indexOf(course);
        if (place >= 0) return { ...(looks[place] as Looked), p: adjusted[place] ?? null };
        const own = groupOf(course.id);
        const beside = kept.filter(isMostlyKnown).filter(({ id }) => id !== course.id && !own.includes(id));
        return { ...looked(base, course, beside), p: settled.get(course.id) ?? null };
      });
      return { found, kept: kept.filter(isMostlyKnown) };
    }
    looks.forEach(({ course }, i) => {
      if (course.id !== first.id && !groupOf(first.id).includes(course.id)) return;
      kept.push(course);
      settled.set(course.id, adjusted[i] ?? 1);
    });
  }
}

/**
 * A condition that is right at some value is looked at both ways, as it is and by its distance from there, and the plainer one taken with
 * twice its p (Bonferroni's, over the two).
 */
function looked(base: Base, course: Course, beside: readonly Course[]): Looked {
  const itself = { course, about: null, effect: effectOf(base, course, beside) };
  const { about } = course;
  if (about === undefined) return itself;
  const far = distanceFrom(course, about);
  const effect = effectOf(base, far, beside);
  if (effect.p === null) return itself;
  const best = isLess(effect.p, itself.effect.p) ? { course: far, about, effect } : itself;
  return { ...best, effect: { ...best.effect, p: Math.min(1, 2 * (best.effect.p as number)) } };
}

function isLess(p: number | null | undefined, than: number | null | undefined): boolean {
  return (p ?? 2) < (than ?? 2);
}
