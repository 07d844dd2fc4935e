import type { PlanRecord } from "../../journal/trials/calls.js";
import type { KeptEntry } from "../../model/entry.js";
import type { PlanFacts, PlanPhase } from "../../model/plan.js";
import type { BlockView, PlanNeed, PlanView, SpecimenState, SpecimenView } from "../../model/specimen.js";
import { groupedBy } from "../../review/grouped.js";
import { gradedTwice } from "./graded-twice.js";
import { viewSpecimen } from "./specimen-view.js";

/** A plan as it stands: from what was planned, what was entered about it, and the runs its specimens were cut in. */
export function viewPlan({ plan, lots, specimens, entries, photos: kept, runs }: PlanRecord): PlanView {
  const of = <K extends KeptEntry["kind"]>(kind: K) =>
    entries.filter((entry) => entry.kind === kind) as KeptEntry<K>[];
  const [steps, grades, photos, checks, phases] = [
    of("step"),
    of("grade"),
    of("photo"),
    of("checks"),
    of("phase"),
  ];
  const bySubject = <E extends KeptEntry>(all: readonly E[]) => groupedBy(all, ({ subject }) => subject);
  const [stepsOf, gradesOf, photosOf] = [bySubject(steps), bySubject(grades), bySubject(photos)];
  const runsOf = groupedBy(runs, ({ settings }) => settings.specimen ?? "");
  const twice = gradedTwice(specimens, plan.facts);
  const replacedBy = new Map(
    specimens.flatMap(({ code, replaces }) => (replaces === null ? [] : [[replaces, code]])),
  );

  const views = specimens.map((specimen) =>
    viewSpecimen(specimen, {
      steps: stepsOf.get(specimen.code) ?? [],
      grades: gradesOf.get(specimen.code) ?? [],
      photos: (kept[specimen.code] ?? 0) + (photosOf.get(specimen.code)?.length ?? 0),
      runs: runsOf.get(specimen.code) ?? [],
      twice: twice.has(specimen.code),
      replacedBy: replacedBy.get(specimen.code) ?? null,
    }),
  );
  const blocks = [...groupedBy(views, ({ block }) => block)].map(([block, inIt]): BlockView => {
    const checked = checks.findLast(({ body }) => body.block === block);
    return {
      block,
      checked: checked === undefined ? null : { done: checked.body.done, wall: checked.wall },
      specimens: inIt,
    };
  });
  const phase: PlanPhase = phases.at(-1)?.body.phase ?? "ready";
  const counts: Record<SpecimenState, number> = { waiting: 0, cutting: 0, cut: 0, spoilt: 0, skipped: 0 };
  for (const { state } of views) counts[state] += 1;
  const need = phase === "running" ? needOf(plan.facts, blocks, views, steps) : { need: "nothing" as const };
  return { ...plan, phase, lots, blocks, need, counts };
}

function needOf(
  facts: PlanFacts,
  blocks: readonly BlockView[],
  views: readonly SpecimenView[],
  steps: readonly KeptEntry<"step">[],
): PlanNeed {
  if (facts.layout.method === "search") {
    const unknown = views.find(({ state, grades }) => state === "cut" && grades[0].through === undefined);
    if (unknown !== undefined) return { need: "outcome", code: unknown.code };
  }
  const done = new Set(steps.filter(({ body }) => body.step === "done").map(({ subject }) => subject));
  const unsaid = views.find(
    ({ code, state, runs, grades }) =>
      state === "cut" &&
      runs.at(-1)?.cause === "laser-on" &&
      grades[0].through === undefined &&
      !done.has(code),
  );
  if (unsaid !== undefined) return { need: "done", code: unsaid.code };
  const waiting = views.filter(({ state }) => state === "waiting" || state === "cutting");
  const chosen = steps.findLast(({ body }) => body.step === "chosen")?.subject;
  const next =
    waiting.find(({ state }) => state === "cutting") ??
    waiting.find(({ code }) => code === chosen) ??
    waiting[0];
  if (next === undefined) return { need: "nothing" };
  const checked = blocks.find(({ block }) => block === next.block)?.checked;
  const missing = facts.checks.filter((check) => checked?.done.includes(check) !== true);
  if (missing.length > 0 && next.state === "waiting")
    return { need: "checks", block: next.block, checks: facts.checks };
  return { need: "cut", code: next.code };
}
