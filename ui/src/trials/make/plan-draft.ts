import type { PropertyId } from "../../../../station/model/grade.js";
import type { CheckId, PlanFacts } from "../../../../station/model/plan.js";
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

/** The plan in a draft. Whether it holds together is for the station to say. */
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
      ? { power_pct: form.needed("power_pct", typed.power_pct) }
      : { speed_mm_s: form.needed("speed_mm_s", typed.speed_mm_s) }),
    passes: form.needed("passes", typed.passes),
    ...(draft.air === "" ? {} : { air_assist: draft.air }),
    spacers_mm: lots.map((id) => form.number("spacers_mm", draft.spacers[id] ?? "") ?? null),
    properties: [...properties],
    blind: draft.blind,
    second_share: form.needed("second_share", typed.second_share) / 100,
    checks: [...draft.checks],
    seed: draft.seed,
    ...(note === undefined ? {} : { note }),
  };
  return { facts, wrong: form.wrong };
}

function ladderOf({ typed, vary, rungs }: PlanDraft, form: Reading): PlanFacts["layout"] {
  const all = form.numbers("rungs", rungs);
  if (all.length === 0 && !form.wrong.has("rungs"))
    form.wrong.set("rungs", `${vary === "speed" ? "a speed" : "a power"} or more`);
  return { method: "ladder", vary, rungs: all, replicates: form.needed("replicates", typed.replicates) };
}

function searchOf({ typed, throughUpTo }: PlanDraft, form: Reading): PlanFacts["layout"] {
  const needed = (key: PlanTyped) => form.needed(key, typed[key]);
  return {
    method: "search",
    slowest_mm_s: needed("slowest_mm_s"),
    fastest_mm_s: needed("fastest_mm_s"),
    step_mm_s: needed("step_mm_s"),
    within_pct: needed("within_pct"),
    most_cuts: needed("most_cuts"),
    through_up_to: throughUpTo,
  };
}
