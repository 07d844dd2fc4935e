import type { ReviewRun } from "../../station/model/review.js";
import { createRandom, normal, type Random } from "../../station/random.js";

/** What is true of a simulated history. */
export interface Truth {
  readonly runs: number;
  /** Change of the logit of cut-through for each unit of a condition; none where only speed matters. */
  readonly effects?: Readonly<Record<string, number>>;
  /** Change of the logit for each unit that a condition is off its mean, either way. */
  readonly off?: Readonly<Record<string, number>>;
  /** Conditions of which the second is the first and a little noise, as a share of its spread. */
  readonly together?: { readonly first: string; readonly second: string; readonly noise: number };
  /** Stocks that are cut in turn, and the second's threshold over the first's; one where left out. */
  readonly ratio?: number;
  /** How much of a condition stays as it was from one cut to the next: 0 to 1, a half where left out. */
  readonly stays?: number;
  /** Logits: the spread of something that nobody measures, which stays as much as the conditions do. */
  readonly unseen?: number;
  /** Blocks of so many cuts, each a little better or worse than the others (logits), in which every other condition stays the same. */
  readonly blocks?: { readonly size: number; readonly spread: number };
  /** °C by which the coolant is warmer when the second stock is cut. */
  readonly warmer?: number;
}

/** mm/s: the speed at which every other cut of the first stock is through. */
export const THRESHOLD_MM_S = 20;
/** Change of the logit for each unit of log speed: through 19 times in 20 at 18 % below the threshold. */
export const STEEPNESS = 15;
/** A ladder's rungs about the threshold. */
const RUNGS = [0.8, 0.88, 0.94, 1, 1.06, 1.14, 1.25];
/** Means and standard deviations: the climate of an invented shed. */
const CLIMATE: Readonly<Record<string, readonly [number, number]>> = {
  coolant_C: [20, 1.5],
  room_C: [18, 3],
  humidity_pct: [55, 8],
  airflow_1_min: [2600, 120],
  hours_since_optics_cleaned: [8, 4],
  focus_error_mm: [0, 0.2],
};
const STAYS = 0.5;

/** Standard deviation of a condition in every simulated history. */
export function spreadOf(condition: string): number {
  return CLIMATE[condition]?.[1] ?? 1;
}

/** A history of cuts whose truth is known, one drawn by lot for each key. */
export function history(
  { runs, effects = {}, off = {}, together, ratio, warmer = 0, stays = STAYS, unseen = 0, blocks }: Truth,
  ...key: number[]
): ReviewRun[] {
  const random = createRandom(...key);
  const state: Record<string, number> = Object.fromEntries(
    Object.keys(CLIMATE).map((name) => [name, normal(random)]),
  );
  let [hidden, block] = [normal(random), 0];
  let held: Record<string, number> = {};
  return Array.from({ length: runs }, (_, i): ReviewRun => {
    const isSecond = ratio !== undefined && i % 2 === 1;
    const conditions = weather(state, stays, random);
    if (unseen > 0) hidden = stays * hidden + Math.sqrt(1 - stays ** 2) * normal(random);
    if (blocks !== undefined) {
      if (i % blocks.size === 0) {
        block = blocks.spread * normal(random);
        held = Object.fromEntries(Object.entries(conditions).filter((__, place) => place % 2 === 0));
      }
      Object.assign(conditions, held);
    }
    if (isSecond) conditions.coolant_C = (conditions.coolant_C as number) + warmer;
    if (together !== undefined) {
      const { first, second, noise } = together;
      const [from, to] = [CLIMATE[first], CLIMATE[second]] as const;
      if (from !== undefined && to !== undefined) {
        const same = ((conditions[first] as number) - from[0]) / from[1];
        conditions[second] =
          to[0] + to[1] * (same + noise * normal(random)) * Math.sqrt(1 / (1 + noise ** 2));
      }
    }
    const speed_mm_s = THRESHOLD_MM_S * (RUNGS[Math.floor(random() * RUNGS.length)] as number);
    const logit =
      STEEPNESS * Math.log((THRESHOLD_MM_S * (isSecond ? ratio : 1)) / speed_mm_s) +
      unseen * hidden +
      block +
      sumOver(effects, (name) => away(conditions, name)) +
      sumOver(off, (name) => Math.abs(away(conditions, name)));
    return {
      id: String(i + 1),
      name: `Run ${i + 1}`,
      wall: Date.UTC(2026, 4, 1) + i * 3_600_000,
      material: isSecond ? "Poplar ply" : "Birch ply",
      lot: null,
      block: blocks === undefined ? null : String(Math.floor(i / blocks.size)),
      ...{ speed_mm_s, power_pct: 60, passes: 1, grade: null, strength: null, conditions },
      through: random() < 1 / (1 + Math.exp(-logit)),
    };
  });
}

function sumOver(effects: Readonly<Record<string, number>>, of: (name: string) => number): number {
  return Object.entries(effects).reduce((sum, [name, effect]) => sum + effect * of(name), 0);
}

function away(conditions: Readonly<Record<string, number>>, name: string): number {
  return (conditions[name] as number) - (CLIMATE[name]?.[0] ?? 0);
}

/** The conditions of the next cut, each drawn towards its mean. */
function weather(state: Record<string, number>, stays: number, random: Random): Record<string, number> {
  const now: Record<string, number> = {};
  for (const [name, [mean, spread]] of Object.entries(CLIMATE)) {
    state[name] = stays * (state[name] as number) + Math.sqrt(1 - stays ** 2) * normal(random);
    const value = mean + spread * (state[name] as number);
    // Hours are none below 0.
    now[name] = name === "hours_since_optics_cleaned" ? Math.abs(value) : value;
  }
  return now;
}
