import type { ReviewRun } from "../../station/model/review.js";
import { createRandom, normal } from "../../station/random.js";
import { reviewDrift } from "../../station/review/questions/drift.js";
import { driftCharts } from "../../station/review/questions/drift-charts.js";
import { type Session, sessionsOf } from "../../station/review/questions/drift-sessions.js";
import { STEEPNESS, THRESHOLD_MM_S } from "./histories.js";
import { type BenchResult, quantile } from "./result.js";

const CHARTS = 2000;
const MACHINES = 400;
/** Sessions that are watched once there are enough for a baseline. */
const WATCHED = 50;
const LEAST = 5;
const LOSS = 0.92;
/** Sessions before the loss. */
const BEFORE = 20;
/** Cuts of a session, as shares of the threshold it began with: a ladder that holds the loss as well. */
const LADDER = [0.76, 0.82, 0.88, 0.94, 1, 1.06, 1.12];
/** Standard deviation of a session's threshold, in the logarithm: sheets and setting-up. */
const SESSION_SD = 0.01;
const HOLDS = { atMost: 1 };
const WEEK_MS = 7 * 86_400_000;

/** How often a machine that does not change is said to drift, and how soon one that loses 8 % is; and how long an answer takes. */
export function benchDrift(): BenchResult[] {
  const falsely = (what: string, share: number): BenchResult => ({
    name: `drift where there is none: charts that ever signal within ${WATCHED} sessions after a baseline of ${LEAST}, asked after each, ${what}`,
    value: share,
    ...{ baseline: 0.05, against: "one in 20", unit: "of all", bound: HOLDS },
  });
  const alike = Array.from({ length: CHARTS }, (_, i) => {
    const random = createRandom(71, i);
    return Array.from({ length: LEAST + WATCHED }, () => ({ logSpeed: normal(random), gap: 0 }));
  });
  const still = Array.from({ length: MACHINES }, (_, i) => sessions(73, i, LEAST + WATCHED, () => 1));
  return [
    falsely("normal values", shareOf(alike)),
    falsely(`ladders of ${LADDER.length} cuts`, shareOf(still)),
    ...lossOf(1, 20, null),
    ...lossOf(3, 10, { atLeast: 0.9 }),
    {
      name: "an answer about 500 runs, median of 40",
      value: quantile(
        Array.from({ length: 40 }, (_, i) => processorMs(runsOf(83, i, 72, () => 1))),
        0.5,
      ),
      ...{ baseline: 50, against: "the budget of 50 ms", unit: "ms", bound: HOLDS },
    },
  ];
}

/** @param times how often each speed is cut in a session @param within sessions in which half of the machines are to be found */
function lossOf(times: number, within: number, bound: BenchResult["bound"]): BenchResult[] {
  const lossy = Array.from({ length: MACHINES }, (_, i) =>
    sessions(79, i, BEFORE + WATCHED, (session) => (session < BEFORE ? 1 : LOSS), times),
  );
  // What is found never is no number of sessions: it stands behind all others.
  const delays = lossy.map((each) => (signalledAt(each, BEFORE + 1) ?? Number.MAX_SAFE_INTEGER) - BEFORE);
  const held = lossy.flatMap((each) => holdsLoss(each) ?? []);
  const what = `a loss of 8 % after ${BEFORE} sessions of ${times * LADDER.length} cuts`;
  return [
    {
      name: `${what}: sessions until it is found, median`,
      value: quantile(delays, 0.5),
      ...{ baseline: within, against: `${within} sessions`, unit: "sessions", bound: HOLDS },
    },
    {
      name: `${what}: found within ${WATCHED} sessions`,
      value: delays.filter((delay) => delay <= WATCHED).length / MACHINES,
      ...{ baseline: 1, against: "all", unit: "of all", bound },
    },
    {
      name: `${what}: 15 sessions later the limits of its size hold the truth, of those found`,
      value: held.filter((each) => each).length / held.length,
      ...{ baseline: 0.95, against: "what they promise", unit: "of all", bound: null },
    },
  ];
}

function shareOf(all: readonly (readonly Pick<Session, "logSpeed" | "gap">[])[]): number {
  return all.filter((each) => signalledAt(each, LEAST + 1) !== null).length / all.length;
}

/** After how many sessions an answer first says that there is drift: asked after each, as a maker does. */
function signalledAt(all: readonly Pick<Session, "logSpeed" | "gap">[], from: number): number | null {
  for (let n = from; n <= all.length; n++) {
    const change = driftCharts(all.slice(0, n))?.change ?? null;
    if (change !== null) return n;
  }
  return null;
}

/** Null where it is not found by then. */
function holdsLoss(all: readonly Session[]): boolean | null {
  const runs = all.slice(0, BEFORE + 15).flatMap((session) => session.runs);
  const { verdict, lower, upper } = answer(runs);
  if (verdict !== "drifting" || lower === null || upper === null) return null;
  return lower <= LOSS && upper >= LOSS;
}

function answer(runs: readonly ReviewRun[]) {
  return reviewDrift(runs, { name: "Birch ply", n: runs.length, of: () => true }, []);
}

function processorMs(runs: readonly ReviewRun[]): number {
  const since = process.cpuUsage();
  answer(runs);
  const { user, system } = process.cpuUsage(since);
  return (user + system) / 1000;
}

function sessions(
  stream: number,
  key: number,
  n: number,
  gives: (session: number) => number,
  times = 1,
): readonly Session[] {
  return sessionsOf(runsOf(stream, key, n, gives, times)).told;
}

/** A ladder a week. @param gives the threshold's share of what it was @param times how often each speed is cut */
function runsOf(
  stream: number,
  key: number,
  n: number,
  gives: (session: number) => number,
  times = 1,
): ReviewRun[] {
  const random = createRandom(stream, key);
  return Array.from({ length: n }, (_, session) => {
    const threshold = THRESHOLD_MM_S * gives(session) * Math.exp(SESSION_SD * normal(random));
    return Array.from({ length: times }, () => LADDER)
      .flat()
      .map((share, i): ReviewRun => {
        const speed_mm_s = THRESHOLD_MM_S * share;
        const chance = 1 / (1 + (speed_mm_s / threshold) ** STEEPNESS);
        return {
          id: `${session} ${i}`,
          name: `Run ${session} ${i}`,
          wall: Date.UTC(2026, 0, 5) + session * WEEK_MS + i * 120_000,
          ...{ material: "Birch ply", lot: null, block: null, speed_mm_s, power_pct: 60, passes: 1 },
          ...{ through: random() < chance, grade: null, strength: null, conditions: { coolant_C: 20 } },
        };
      });
  }).flat();
}
