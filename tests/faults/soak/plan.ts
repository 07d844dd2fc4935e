import { createRandom } from "../../../station/random.js";
import { type Job, jobsOf } from "../shop-plan.js";

/** What goes wrong on the bench, and between which seconds from the start. */
export interface Trouble {
  readonly trouble:
    | "probe-off"
    | "room-sensor-off"
    | "board-off"
    | "fan-stops"
    | "coolant-runs-away"
    | "disk-full"
    | "network";
  readonly fromS: number;
  readonly toS: number;
  /** Of a full disk: bytes that are left free. */
  readonly leave?: number;
}

/** What ends the station, or sets its clock. */
export type Blow =
  /** SIGKILL, and the same boot goes on. */
  | { readonly blow: "kill"; readonly atS: number; readonly downS: number }
  /** SIGKILL and another boot, without a battery clock: it wakes up so far behind, and is set so long after. */
  | {
      readonly blow: "power-cut";
      readonly atS: number;
      readonly downS: number;
      readonly behindS: number;
      readonly setAfterS: number;
    }
  /** Somebody sets the wall clock wrong by so much, and it is set right so long after. */
  | { readonly blow: "clock"; readonly atS: number; readonly byS: number; readonly setAfterS: number };

export interface SoakPlan {
  readonly days: number;
  readonly jobs: readonly Job[];
  readonly troubles: readonly Trouble[];
  readonly blows: readonly Blow[];
  /** Without a blow that ends the station: what one start holds is measured at both ends. Seconds from the start. */
  readonly quiet: { readonly fromS: number; readonly toS: number };
}

export const DAY_S = 86_400;
const HOUR_S = 3600;
/** From one trouble to the next, so that an alarm can be told to be of one of them. */
const APART_S = HOUR_S;
/** One that is shorter than a day begins when the shop opens, and has as much in less time. */
const LEAST_S = 300;
const SHORT_FROM_S = 8.9 * HOUR_S;

/** A month in a shop, all by lot: the same seed gives the same month. */
export function planOf(days: number, seed: number): SoakPlan {
  const random = createRandom(seed, 11);
  const between = (least: number, most: number) => Math.round(least + (most - least) * random());
  /** How much is pressed together. */
  const pressed = Math.min(1, days);
  const lengthS = days * DAY_S;
  const jobs = jobsOf(Math.ceil(days), seed)
    .map(({ fromS, toS }) => ({
      fromS: fromS - (days < 1 ? SHORT_FROM_S : 0),
      toS: toS - (days < 1 ? SHORT_FROM_S : 0),
    }))
    .filter(({ toS }) => toS < lengthS - 600);
  const quiet = {
    fromS: Math.round(0.45 * lengthS),
    toS: Math.round(lengthS - Math.min(0.3 * DAY_S, 0.2 * lengthS)),
  };
  const blows = blowsOf(days, quiet, between, random);

  const troubles: Trouble[] = [];
  const free = (fromS: number, toS: number) =>
    fromS > HOUR_S * pressed &&
    toS < lengthS - HOUR_S * pressed &&
    troubles.every(
      (other) =>
        other.trouble === "network" ||
        fromS > other.toS + APART_S * pressed ||
        toS < other.fromS - APART_S * pressed,
    );
  const put = (
    trouble: Trouble["trouble"],
    place: () => readonly [number, number] | null,
    more: object = {},
  ) => {
    for (let tries = 0; tries < 2000; tries += 1) {
      const found = place();
      if (found === null || !free(...found)) continue;
      troubles.push({ trouble, fromS: found[0], toS: found[1], ...more });
      return;
    }
    throw new Error(`no room for another ${trouble} in ${days} days`);
  };
  const anyTime = (least: number, most: number) => () => {
    const fromS = between(HOUR_S * pressed, lengthS - HOUR_S * pressed);
    return [fromS, fromS + Math.max(LEAST_S, between(least * pressed, most * pressed))] as const;
  };
  const inACut = (lengthS: number) => () => {
    const long = jobs.filter(({ fromS, toS }) => toS - fromS > lengthS + 150);
    const job = long[Math.floor(random() * long.length)];
    return job === undefined ? null : ([job.fromS + 60, job.fromS + 60 + lengthS] as const);
  };
  const times = (everyDays: number, work: (index: number) => void) => {
    for (let i = 0; i < Math.max(1, Math.round(days / everyDays)); i += 1) work(i);
  };
  times(10, (i) => put("network", anyTime(0.6 * DAY_S, 1.1 * DAY_S), { leave: i }));
  times(8, (i) => put("disk-full", anyTime(HOUR_S, 5 * HOUR_S), { leave: i % 2 === 0 ? 9e6 : 0 }));
  times(5, () => put("coolant-runs-away", inACut(420)));
  times(3, () => put("fan-stops", inACut(90)));
  times(3, () => put("probe-off", anyTime(300, 3 * HOUR_S)));
  times(4, () => put("room-sensor-off", anyTime(300, 3 * HOUR_S)));
  times(3, () => put("board-off", anyTime(120, 2 * HOUR_S)));
  return { days, jobs, quiet, blows, troubles: troubles.sort((a, b) => a.fromS - b.fromS) };
}

function blowsOf(
  days: number,
  quiet: SoakPlan["quiet"],
  between: (least: number, most: number) => number,
  random: () => number,
): Blow[] {
  const pressed = Math.min(1, days);
  const hours = (least: number, most: number) => between(least * HOUR_S * pressed, most * HOUR_S * pressed);
  const lengthS = days * DAY_S;
  const blows: Blow[] = [];
  for (let atS = hours(1, 5); atS < lengthS - 2 * HOUR_S * pressed; atS += hours(1, 9)) {
    if (atS > quiet.fromS - HOUR_S * pressed && atS < quiet.toS) continue;
    const downS = random() < 0.5 ? between(2, 30) : between(60, 60 + 1800 * pressed);
    const setAfterS = random() < 0.6 ? between(20, 900) : hours(1, 5);
    // Days behind, or as if it had never been set.
    const behindS = random() < 0.3 ? 20_000 * DAY_S : between(60, 3 * DAY_S);
    blows.push(
      random() < 0.5 ? { blow: "kill", atS, downS } : { blow: "power-cut", atS, downS, setAfterS, behindS },
    );
  }
  for (let atS = hours(4, 20); atS < lengthS - 3 * HOUR_S * pressed; atS += hours(17, 72)) {
    const byS = (random() < 0.5 ? 1 : -1) * between(60, 6 * HOUR_S);
    blows.push({ blow: "clock", atS, byS, setAfterS: hours(0.2, 2) });
  }
  return blows.sort((a, b) => a.atS - b.atS);
}
