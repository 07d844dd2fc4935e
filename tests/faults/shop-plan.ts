import { createRandom } from "../../station/random.js";

/** What goes wrong in the shop, and when: seconds from the start. */
export interface ShopFault {
  readonly fault:
    | "fan-stops"
    | "fan-slips"
    | "pump-stops"
    | "coolant-runs-away"
    | "probe-off"
    | "sensor-silent"
    | "humid"
    | "contact-chatters";
  readonly fromS: number;
  readonly toS: number;
}

export interface Job {
  readonly fromS: number;
  readonly toS: number;
}

const DAY_S = 86_400;
const HOUR_S = 3600;
const OPENS_S = 9 * HOUR_S;
const CLOSES_S = 17 * HOUR_S;
/** The fan is switched on so long before a job, and off so long after it. */
export const FAN_BEFORE_S = 20;
export const FAN_AFTER_S = 45;

/** A shop that is open from nine to five on six days of seven: jobs of one to twenty minutes with breaks between them. */
export function jobsOf(days: number, seed: number): Job[] {
  const random = createRandom(seed, 1);
  const between = (least: number, most: number) => Math.round(least + (most - least) * random());
  const jobs: Job[] = [];
  for (let day = 0; day < days; day += 1) {
    if (day % 7 === 6) continue;
    let at = day * DAY_S + OPENS_S + between(0, 900);
    while (at < day * DAY_S + CLOSES_S - 1800) {
      const toS = at + between(60, 1200);
      jobs.push({ fromS: at, toS });
      at = toS + between(120, 1500);
    }
  }
  return jobs;
}

/**
 * Of each kind of fault some, spread over the days by lot: those that need a cut lie in one that is long enough, the others anywhere in
 * the opening hours. No two within two hours of each other, so that an alarm can be told to be of one of them.
 */
export function faultsOf(jobs: readonly Job[], days: number, seed: number): ShopFault[] {
  const random = createRandom(seed, 2);
  const taken: ShopFault[] = [];
  const free = (fromS: number, toS: number) =>
    taken.every((other) => fromS > other.toS + 2 * HOUR_S || toS < other.fromS - 2 * HOUR_S);
  const put = (fault: ShopFault["fault"], place: () => readonly [number, number] | null) => {
    for (let tries = 0; tries < 500; tries += 1) {
      const found = place();
      if (found === null || !free(...found)) continue;
      taken.push({ fault, fromS: found[0], toS: found[1] });
      return;
    }
    throw new Error(`no room for another ${fault} in ${days} days`);
  };
  const inACut = (lengthS: number) => () => {
    const long = jobs.filter(({ fromS, toS }) => toS - fromS > lengthS + 120);
    const job = long[Math.floor(random() * long.length)];
    return job === undefined ? null : ([job.fromS + 60, job.fromS + 60 + lengthS] as const);
  };
  const anyTime = (lengthS: number) => () => {
    const day = Math.floor(random() * days);
    const fromS = Math.round(day * DAY_S + OPENS_S + random() * (CLOSES_S - OPENS_S));
    return [fromS, fromS + lengthS] as const;
  };
  // The long ones first, while there is room.
  for (let i = 0; i < Math.ceil(days / 15); i += 1) put("humid", anyTime(3 * HOUR_S));
  for (let i = 0; i < Math.ceil(days / 10); i += 1) {
    put("coolant-runs-away", inACut(420));
    put("contact-chatters", anyTime(600));
    put("pump-stops", inACut(60));
    put("fan-slips", inACut(60));
  }
  for (let i = 0; i < Math.ceil(days / 6); i += 1) {
    put("fan-stops", inACut(60));
    put("probe-off", anyTime(120));
    put("sensor-silent", anyTime(180));
  }
  return taken.sort((a, b) => a.fromS - b.fromS);
}
