import type { PropertyId } from "../../../../station/model/grade.js";
import type { CheckId, PlanFacts } from "../../../../station/model/plan.js";
import type { Limits } from "../typed/limits.js";
import { NOTHING_TYPED, type Reading, readForm, type TypedList } from "../typed/numbers.js";

const TYPED = [
  "title",
  "from",
  "to",
  "count",
  "replicates",
  "slowest_mm_s",
  "fastest_mm_s",
  "step_mm_s",
  "within_pct",
  "most_cuts",
  "speed_mm_s",
  "power_pct",
  "passes",
  "second_share",
  "note",
] as const;
export type PlanTyped = (typeof TYPED)[number];

const speed: Limits = { above: 0, most: 2000 };
const power: Limits = { above: 0, most: 100 };
const SPACER: Limits = { least: 0, most: 200 };
export const MOST_RUNGS = 20;
/** Of the fields that hold a number. */
export const PLAN_LIMITS = {
  count: { least: 1, most: MOST_RUNGS, whole: true },
  replicates: { least: 1, most: 20, whole: true },
  slowest_mm_s: speed,
  fastest_mm_s: speed,
  step_mm_s: { above: 0, most: 100 },
  within_pct: { least: 1, most: 50 },
  most_cuts: { least: 4, most: 60, whole: true },
  speed_mm_s: speed,
  power_pct: power,
  passes: { least: 1, most: 50, whole: true },
  second_share: { least: 0, most: 100 },
} as const satisfies Partial<Record<PlanTyped, Limits>>;

/** Of each rung. */
export function rungLimits(vary: "speed" | "power"): Limits {
  return vary === "speed" ? speed : power;
}

/** What stands in the form of a plan, as typed and chosen. */
export interface PlanDraft {
  readonly typed: Readonly<Record<PlanTyped, string>>;
  /** Ids, in the order in which they were chosen. */
  readonly lots: readonly string[];
  readonly spacers: Readonly<Record<string, string>>;
  readonly method: "ladder" | "search";
  readonly vary: "speed" | "power";
  readonly rungs: TypedList;
  readonly throughUpTo: 0 | 1;
  readonly air: "" | "off" | "low" | "high";
  readonly properties: readonly PropertyId[];
  readonly blind: boolean;
  readonly checks: readonly CheckId[];
  readonly seed: number;
  /** Pressed where one of the lots is one that must not be cut. */
  readonly none_the_less: boolean;
}

/** What a plan begins with: usual figures that are all to be seen in the form, and nothing of any plan before. */
export function emptyPlan(seed: number): PlanDraft {
  const empty = Object.fromEntries(TYPED.map((key) => [key, ""])) as Record<PlanTyped, string>;
  return {
    typed: {
      ...empty,
      count: "5",
      replicates: "3",
      step_mm_s: "0.5",
      within_pct: "3",
      most_cuts: "20",
      passes: "1",
      second_share: "20",
    },
    lots: [],
    spacers: {},
    method: "ladder",
    vary: "speed",
    rungs: NOTHING_TYPED,
    throughUpTo: 1,
    air: "",
    properties: ["through", "back_fuzz", "edge_darkness", "residue", "cleaning"],
    blind: true,
    checks: ["optics", "spacer", "extraction", "coolant"],
    seed,
    none_the_less: false,
  };
}

/** The plan in a draft, and all that is wrong with it as far as the page can tell. */
export function planFactsOf(draft: PlanDraft): { facts: PlanFacts; wrong: ReadonlyMap<string, string> } {
  const { typed, lots, method, properties } = draft;
  const form = readForm();
  const title = form.text(typed.title);
  const note = form.text(typed.note);
  if (title === undefined) form.wrong.set("title", "what people call the plan");
  if (lots.length === 0) form.wrong.set("lots", "one lot, up to four");
  if (properties.length === 0) form.wrong.set("properties", "one property or more");
  const layout = method === "ladder" ? ladderOf(draft, form) : searchOf(draft, form);
  const variesSpeed = method === "search" || draft.vary === "speed";
  const facts: PlanFacts = {
    title: title ?? "",
    lots: [...lots],
    layout,
    ...(variesSpeed
      ? { power_pct: form.needed("power_pct", typed.power_pct, PLAN_LIMITS.power_pct) }
      : { speed_mm_s: form.needed("speed_mm_s", typed.speed_mm_s, PLAN_LIMITS.speed_mm_s) }),
    passes: form.needed("passes", typed.passes, PLAN_LIMITS.passes),
    ...(draft.air === "" ? {} : { air_assist: draft.air }),
    spacers_mm: lots.map((id) => form.number("spacers_mm", draft.spacers[id] ?? "", SPACER) ?? null),
    properties: [...properties],
    blind: draft.blind,
    second_share: form.needed("second_share", typed.second_share, PLAN_LIMITS.second_share) / 100,
    checks: [...draft.checks],
    seed: draft.seed,
    ...(note === undefined ? {} : { note }),
  };
  return { facts, wrong: form.wrong };
}

function ladderOf({ typed, vary, rungs }: PlanDraft, form: Reading): PlanFacts["layout"] {
  const all = form.numbers("rungs", rungs, rungLimits(vary), MOST_RUNGS);
  const words = vary === "speed" ? "a speed" : "a power";
  if (!form.wrong.has("rungs")) {
    if (all.length === 0) form.wrong.set("rungs", `${words} or more`);
    else if (new Set(all).size !== all.length) form.wrong.set("rungs", `${words} no more than once`);
  }
  for (const [name, expected] of unfitEnds(typed, vary)) form.wrong.set(name, expected);
  const replicates = form.needed("replicates", typed.replicates, PLAN_LIMITS.replicates);
  return { method: "ladder", vary, rungs: all, replicates };
}

/**
 * What is wrong with the fields that rungs are laid by, by field; it is told at once, because nothing is laid by them then. Left
 * empty they are not used.
 */
export function unfitEnds(typed: PlanDraft["typed"], vary: "speed" | "power"): ReadonlyMap<string, string> {
  const form = readForm();
  for (const end of ["from", "to"] as const) form.number(end, typed[end], rungLimits(vary));
  form.number("count", typed.count, PLAN_LIMITS.count);
  return form.wrong;
}

function searchOf({ typed, throughUpTo, properties }: PlanDraft, form: Reading): PlanFacts["layout"] {
  const needed = (key: keyof typeof PLAN_LIMITS) => form.needed(key, typed[key], PLAN_LIMITS[key]);
  const layout = {
    method: "search",
    slowest_mm_s: needed("slowest_mm_s"),
    fastest_mm_s: needed("fastest_mm_s"),
    step_mm_s: needed("step_mm_s"),
    within_pct: needed("within_pct"),
    most_cuts: needed("most_cuts"),
    through_up_to: throughUpTo,
  } as const;
  if (layout.slowest_mm_s >= layout.fastest_mm_s && !form.wrong.has("fastest_mm_s"))
    form.wrong.set("fastest_mm_s", "a speed faster than the slowest");
  if (!properties.includes("through") && !form.wrong.has("properties"))
    form.wrong.set("properties", "“Cut through” among them: the search goes by it");
  return layout;
}
