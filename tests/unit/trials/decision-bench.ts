import type { PropertyId } from "../../../station/model/grade.js";
import type { PlanFacts } from "../../../station/model/plan.js";
import type { Grades, PlanView, SpecimenSetting, SpecimenView } from "../../../station/model/specimen.js";
import { LOTS, ladder, lotFacts } from "./plan-bench.js";

const NAMES = ["Quayside", "Harbour", "Lagoon"];
export const RUNGS = [10, 12, 14];
const HOUR_MS = 3_600_000;

type Values = Partial<Record<PropertyId, number>>;

export interface Cut {
  /** A place among the plan's lots. */
  readonly lot: number;
  readonly block: number;
  readonly speed: number;
}

export interface Made {
  readonly first?: Values;
  readonly second?: Values;
  /** When its grades were given; where it is not told, after all was cut. */
  readonly gradedWall?: number;
  readonly flagged?: boolean;
  readonly state?: SpecimenView["state"];
  readonly coolant?: number;
  /** Of its run, by which it is flagged. */
  readonly flag?: string;
  /** In what it was cut otherwise than planned. */
  readonly otherwise?: Partial<SpecimenSetting>;
  /** What the specimen that was cut in its place came to, at the end of its block. */
  readonly again?: Made;
}

function given(values: Values, wall: number): Grades {
  return Object.fromEntries(
    Object.entries(values).map(([id, value]) => [id, { value, wall, by: null, before: [] }]),
  );
}

/** A plan of two lots, or of others, in which every lot was cut at every rung in each block, with what `make` says became of each. */
export function cutPlan(
  make: (cut: Cut) => Made,
  {
    blocks = 4,
    facts = {},
    lots = {},
    of = LOTS,
  }: {
    blocks?: number;
    facts?: Partial<PlanFacts>;
    lots?: Parameters<typeof lotFacts>[0];
    /** Ids of the lots. */
    of?: readonly string[];
  } = {},
): PlanView {
  let number = 0;
  const specimen = (cut: Cut, made: Made = make(cut), replaces: string | null = null): SpecimenView[] => {
    const { first = {}, second = {}, flagged = false, state = "cut", coolant = 18, otherwise = {} } = made;
    const { flag = "coolant-out-of-range", again, gradedWall = 10_000 * HOUR_MS } = made;
    number += 1;
    const code = `C${number}`;
    const setting = { speed_mm_s: cut.speed, power_pct: 60, passes: 1, focus_spacer_mm: 7 };
    const then = again === undefined ? [] : specimen(cut, again, code);
    const view: SpecimenView = {
      code,
      plan: "p",
      block: cut.block,
      place: number,
      lot: of[cut.lot] as string,
      setting,
      replaces,
      state,
      why: "",
      runs: [
        {
          ...{ id: `r${number}`, number, cause: "foot-switch" },
          ...{ startWall: number * HOUR_MS, endWall: number * HOUR_MS + 1 },
          flags: flagged ? [{ flag, text: "coolant out of range" }] : [],
          ...{ coolantMean: coolant, otherwise: Object.keys(otherwise) },
        },
      ],
      cutWith: { ...setting, ...otherwise },
      grades: [given(first, gradedWall), given(second, gradedWall)],
      twice: Object.keys(second).length > 0,
      ...{ photos: 0, replacedBy: then[0]?.code ?? null },
    };
    return [view, ...then];
  };
  const laid = Array.from({ length: blocks }, (_, i) => ({
    block: i + 1,
    checked: null,
    specimens: RUNGS.flatMap((speed) => of.flatMap((_, lot) => specimen({ lot, block: i + 1, speed }))),
  }));
  const counts = { waiting: 0, cutting: 0, cut: 0, spoilt: 0, skipped: 0 };
  for (const { state } of laid.flatMap((block) => block.specimens)) counts[state] += 1;
  return {
    ...{ id: "p", number: 1, madeWall: 0, phase: "closed", need: { need: "nothing" }, counts, blocks: laid },
    facts: ladder({
      ...{ ...facts, lots: [...of] },
      layout: { method: "ladder", vary: "speed", rungs: RUNGS, replicates: blocks },
    }),
    lots: of.map((id, i) => ({
      ...{ id, number: i + 1 },
      facts: lotFacts({ product: NAMES[i] ?? `Board ${i + 1}`, ...lots }),
    })),
  };
}
