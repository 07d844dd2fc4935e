import { z } from "zod";
import { textSchema } from "./channel.js";
import { PROPERTY_IDS } from "./grade.js";
import { CHECK_IDS } from "./plan.js";

const speed = z.number().gt(0).max(2000);
const power = z.number().gt(0).max(100);

/** Every lot at every rung, once in each block. */
const ladderSchema = z.strictObject({
  method: z.literal("ladder"),
  vary: z.enum(["speed", "power"]),
  /** mm/s or per cent. */
  rungs: z.array(z.number().gt(0).max(2000)).min(1).max(20),
  /** How many blocks. */
  replicates: z.int().min(1).max(20),
});

/** The fastest speed that still cuts through, found one cut after another. */
const searchSchema = z.strictObject({
  method: z.literal("search"),
  slowest_mm_s: speed,
  fastest_mm_s: speed,
  /** The steps in which the machine's speed can be set. */
  step_mm_s: z.number().gt(0).max(100),
  /** Stops where the limits are within so many per cent of the estimate, either way. */
  within_pct: z.number().min(1).max(50),
  /** Of each lot. */
  most_cuts: z.int().min(4).max(60),
  /** The worst grade of "Cut through" that counts as through: 0 fell out, 1 with a finger. */
  through_up_to: z.union([z.literal(0), z.literal(1)]),
});

export const planFactsSchema = z
  .strictObject({
    title: textSchema(80).min(1),
    /** Ids of the lots that are compared. */
    lots: z.array(z.uuid()).min(1).max(4),
    layout: z.discriminatedUnion("method", [ladderSchema, searchSchema]),
    /** What is the same for all cuts; the one that the ladder varies is left out. */
    speed_mm_s: speed.optional(),
    power_pct: power.optional(),
    passes: z.int().min(1).max(50),
    air_assist: z.enum(["off", "low", "high"]).optional(),
    /** The height of the spacer for each lot, in the order of the lots, where it is known. */
    spacers_mm: z.array(z.number().min(0).max(200).nullable()).max(4),
    properties: z.array(z.enum(PROPERTY_IDS)).min(1).max(PROPERTY_IDS.length),
    /** The grading page shows the code alone, and neither lot nor setting. */
    blind: z.boolean(),
    /** The share of the specimens that is graded a second time: 0 to 1. */
    second_share: z.number().min(0).max(1),
    checks: z.array(z.enum(CHECK_IDS)).max(CHECK_IDS.length),
    /** Of the order of the cuts: kept, so that the order can be laid out again. */
    seed: z.int().min(0).max(4_294_967_295),
    note: textSchema(1000).optional(),
  })
  .superRefine((facts, context) => {
    const { layout, lots } = facts;
    const expect = (path: string, message: string) =>
      context.addIssue({ code: "custom", path: [path], message });
    if (new Set(lots).size !== lots.length) expect("lots", "each lot once");
    if (facts.spacers_mm.length !== lots.length)
      expect("spacers_mm", "a spacer for each lot, or null where it is not known");
    if (layout.method === "ladder") {
      const { vary, rungs } = layout;
      if (new Set(rungs).size !== rungs.length) expect("rungs", "each rung once");
      if (vary === "power" && rungs.some((rung) => rung > 100)) expect("rungs", "powers of at most 100 %");
      if (vary === "speed" && facts.power_pct === undefined) expect("power_pct", "the power of all cuts");
      if (vary === "power" && facts.speed_mm_s === undefined) expect("speed_mm_s", "the speed of all cuts");
      if (lots.length * rungs.length * layout.replicates > MOST_SPECIMENS)
        expect("replicates", `at most ${MOST_SPECIMENS} cuts in a plan`);
    } else {
      const steps = (speed: number) => speed / layout.step_mm_s;
      if (!(layout.slowest_mm_s < layout.fastest_mm_s))
        expect("fastest_mm_s", "faster than the slowest speed");
      else if (
        Math.floor(steps(layout.fastest_mm_s) + SLACK) <= Math.ceil(steps(layout.slowest_mm_s) - SLACK)
      )
        expect("step_mm_s", "a step between the slowest and the fastest speed, or more");
      if (facts.power_pct === undefined) expect("power_pct", "the power of all cuts");
      if (!facts.properties.includes("through"))
        expect("properties", "“Cut through” among them: the search goes by it");
    }
  });
export type PlanFacts = z.infer<typeof planFactsSchema>;
export type Ladder = z.infer<typeof ladderSchema>;
export type SpeedSearch = z.infer<typeof searchSchema>;

const MOST_SPECIMENS = 600;
/** 0.1 and its multiples are not exact. */
const SLACK = 1e-9;
