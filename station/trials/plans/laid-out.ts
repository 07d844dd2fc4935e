import type { PlanFacts } from "../../model/plan.js";
import type { Specimen, SpecimenSetting } from "../../model/specimen.js";
import { createRandom } from "../../random.js";
import { layBlocks } from "../layout.js";

export type LaidSpecimen = Omit<Specimen, "plan">;

/** Marks the stream of random numbers that the order within a block is drawn from. */
const STREAM = 0x626c_6f63;

/**
 * The specimens of a ladder, block by block in the order of cutting; none for a search, which lays out a round at a time.
 * @param codeOf gives a code that no other specimen has
 */
export function layOutPlan(facts: PlanFacts, codeOf: () => string): LaidSpecimen[] {
  const { layout, lots, seed } = facts;
  if (layout.method === "search") return [];
  const blocks = layBlocks(lots.length, layout.rungs.length, layout.replicates, (block) =>
    createRandom(seed, STREAM, block),
  );
  return blocks.flatMap((cuts, block) =>
    cuts.map(({ lot, rung }, place) => ({
      code: codeOf(),
      block: block + 1,
      place: place + 1,
      lot: lots[lot] as string,
      setting: settingOf(facts, lot, { [layout.vary]: layout.rungs[rung] as number }),
      replaces: null,
    })),
  );
}

/** A speed to be tried next on a lot. */
export interface NextTry {
  /** A place among the plan's lots, from 0. */
  readonly lot: number;
  readonly speed: number;
}

/** The next round of a search as a block, its order drawn by lot. */
export function layOutRound(
  facts: PlanFacts,
  block: number,
  tries: readonly NextTry[],
  codeOf: () => string,
): LaidSpecimen[] {
  const random = createRandom(facts.seed, STREAM, block);
  const drawn = tries.map((each) => ({ each, at: random() })).sort((a, b) => a.at - b.at);
  return drawn.map(({ each: { lot, speed } }, place) => ({
    code: codeOf(),
    block,
    place: place + 1,
    lot: facts.lots[lot] as string,
    setting: settingOf(facts, lot, { speed }),
    replaces: null,
  }));
}

function settingOf(
  facts: PlanFacts,
  lot: number,
  varied: { readonly speed?: number; readonly power?: number },
): SpecimenSetting {
  const spacer = facts.spacers_mm[lot];
  return {
    // A plan without one of them does not pass its schema.
    speed_mm_s: varied.speed ?? (facts.speed_mm_s as number),
    power_pct: varied.power ?? (facts.power_pct as number),
    passes: facts.passes,
    ...(facts.air_assist === undefined ? {} : { air_assist: facts.air_assist }),
    ...(spacer == null ? {} : { focus_spacer_mm: spacer }),
  };
}
