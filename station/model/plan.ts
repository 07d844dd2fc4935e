import type { PlanFacts } from "./plan-schema.js";

export const CHECKS = {
  optics: "Mirrors and lens looked at, and clean",
  spacer: "The spacer for each lot at hand",
  extraction: "Extraction on, air felt at the machine",
  coolant: "Coolant in its range and steady",
  label: "Labels at hand, or codes to engrave",
} as const;
export type CheckId = keyof typeof CHECKS;
export const CHECK_IDS = Object.keys(CHECKS) as [CheckId, ...CheckId[]];

export type { Ladder, PlanFacts, SpeedSearch } from "./plan-schema.js";

export interface Plan {
  readonly id: string;
  /** Counts up from 1 in this journal: "P3" is what people call the plan. */
  readonly number: number;
  readonly facts: PlanFacts;
  readonly madeWall: number;
}

/** `ready` until it is first begun. */
export type PlanPhase = "ready" | "running" | "paused" | "closed";

export function planMark({ number }: Pick<Plan, "number">): string {
  return `P${number}`;
}

/** What a plan can show, before anything is cut. */
export interface PlanPreview {
  /** Of a search the most that there may be. */
  readonly cuts: number;
  readonly sentences: readonly string[];
}
