import { createRandom } from "../../random.js";
import type { BenchSimulatorEntry, Cutting, ScriptedFault } from "./entry.js";
import type { BenchInputs } from "./model.js";
import type { BenchPoint } from "./points.js";
import type { Contacts } from "./sensing.js";

/** The demo gives each job a slot of this length, s, and every job lies inside its own. */
const DEMO_SLOT_S = 240;
/** After so many slots the two long jobs come again. */
const SLOTS_IN_CYCLE = 8;
export const DEMO_CYCLE_S = SLOTS_IN_CYCLE * DEMO_SLOT_S;
/**
 * Slots of the cycle whose job is always long, so that a fault set inside it falls in a cut whatever the seed, and where
 * that job lies in its slot, s.
 */
const LONG_SLOTS: readonly number[] = [1, 3];
const LONG_JOB = { fromS: 35, toS: 185 } as const;
/** The fan is switched on so long before a job, and off so long after it, s. */
const FAN_BEFORE_S = 20;
const FAN_AFTER_S = 45;
/** Streams of random numbers for the jobs are keyed by seed, this and the slot. */
const JOBS_STREAM = 2;

/** What the script has the bench do at one moment. */
export type ScriptMoment = BenchInputs & Contacts;

export interface Script {
  /** @param timeS simulated seconds since the start, ≥ 0 */
  at(timeS: number): ScriptMoment;
  /** What the wire of a point does: carries its value, is off, or carries nothing. */
  wire(point: BenchPoint, timeS: number): "live" | "unplugged" | "silent";
}

/** One job of the demo: the laser is on from `onS` to `offS` of each burst. */
interface Job {
  readonly fromS: number;
  readonly toS: number;
  readonly bursts: readonly { readonly onS: number; readonly offS: number }[];
}

/**
 * What happens when: the same entry and time always give the same answer, in whatever order the times are asked for.
 * A silenced point stays silent if it is unplugged as well.
 */
export function createScript(entry: Pick<BenchSimulatorEntry, "seed" | "cutting" | "faults">): Script {
  const cuttingAt = cuttingSchedule(entry.cutting, entry.seed);
  const standing = (fault: ScriptedFault["fault"], timeS: number) =>
    entry.faults.some((each) => each.fault === fault && stands(each, timeS));
  return {
    at(timeS) {
      const cutting = cuttingAt(timeS);
      return {
        laserOn: cutting.laserOn,
        lidOpen: cutting.lidOpen,
        fanPowered: cutting.fanOn && !standing("fan-stops", timeS),
        pumpPowered: !standing("pump-stops", timeS),
        chillerRunsAway: standing("coolant-runs-away", timeS),
        ductBlocked: standing("duct-blocked", timeS),
      };
    },
    wire(point, timeS) {
      let wire: "live" | "unplugged" | "silent" = "live";
      for (const fault of entry.faults) {
        if (!("point" in fault) || fault.point !== point || !stands(fault, timeS)) continue;
        if (fault.fault === "sensor-silent") return "silent";
        wire = "unplugged";
      }
      return wire;
    },
  };
}

/** From its start up to, and not including, its end. */
function stands(fault: ScriptedFault, timeS: number): boolean {
  const sinceMs = milliseconds(timeS - fault.at_s);
  if (sinceMs < 0) return false;
  const repeat = fault.repeat_every_s;
  return (repeat === undefined ? sinceMs : sinceMs % milliseconds(repeat)) < milliseconds(fault.for_s);
}

interface CuttingMoment {
  readonly laserOn: boolean;
  readonly fanOn: boolean;
  readonly lidOpen: boolean;
}

function cuttingSchedule(cutting: Cutting, seed: number): (timeS: number) => CuttingMoment {
  if (cutting === "never") return () => ({ laserOn: false, fanOn: false, lidOpen: false });
  if (cutting === "demo") return demoSchedule(seed);
  const everyMs = milliseconds(cutting.every_s);
  const lengthMs = milliseconds(cutting.for_s);
  return (timeS) => {
    const sinceMs = milliseconds(timeS - cutting.first_at_s);
    const begun = sinceMs >= 0;
    const intoMs = begun ? sinceMs % everyMs : sinceMs;
    const untilNextMs = begun ? everyMs - intoMs : -intoMs;
    return {
      laserOn: begun && intoMs < lengthMs,
      fanOn: (begun && intoMs < lengthMs + FAN_AFTER_S * 1000) || untilNextMs <= FAN_BEFORE_S * 1000,
      lidOpen: false,
    };
  };
}

function demoSchedule(seed: number): (timeS: number) => CuttingMoment {
  // The time mostly runs on within a slot, so the last job made is kept.
  let kept = { slot: -1, job: jobOfSlot(seed, 0) };
  return (timeS) => {
    const slot = Math.floor(timeS / DEMO_SLOT_S);
    if (slot !== kept.slot) kept = { slot, job: jobOfSlot(seed, slot) };
    const inSlot = tenths(timeS - slot * DEMO_SLOT_S);
    const { fromS, toS, bursts } = kept.job;
    return {
      laserOn: bursts.some((burst) => inSlot >= burst.onS && inSlot < burst.offS),
      fanOn: inSlot >= fromS - FAN_BEFORE_S && inSlot < toS + FAN_AFTER_S,
      // The sheet is changed before the fan is switched on for the job.
      lidOpen: inSlot >= 3 && inSlot < fromS - FAN_BEFORE_S - 2,
    };
  };
}

/** The job of a slot, in seconds of the slot: fan and lid have finished with it before the slot ends. */
function jobOfSlot(seed: number, slot: number): Job {
  const random = createRandom(seed, JOBS_STREAM, slot);
  const between = (low: number, high: number) => tenths(low + (high - low) * random());
  const long = LONG_SLOTS.includes(slot % SLOTS_IN_CYCLE);
  const fromS = long ? LONG_JOB.fromS : between(35, 60);
  const toS = long ? LONG_JOB.toS : tenths(fromS + between(22, 130));
  const bursts: Job["bursts"][number][] = [];
  for (let onS = fromS; onS < toS; ) {
    const offS = Math.min(toS, tenths(onS + between(2, 8)));
    bursts.push({ onS, offS });
    onS = tenths(offS + between(0.3, 1.5));
  }
  return { fromS, toS: bursts.at(-1)?.offS ?? toS, bursts };
}

/** Times of the script lie on tenths of a second, as the bench's steps do. */
function tenths(seconds: number): number {
  return Math.round(seconds * 10) / 10;
}

/** Whole milliseconds, in which differences and remainders are exact. */
function milliseconds(seconds: number): number {
  return Math.round(seconds * 1000);
}
