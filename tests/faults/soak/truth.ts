import { COOLANT_RISING_SETPOINT } from "../../../station/alarms/process-definitions.js";
import type { Shed } from "./shed.js";

/** One cut as it truly was: the laser, and the water meanwhile. */
export interface Cut {
  readonly fromS: number;
  readonly toS: number;
  readonly meanC: number;
}

/** The setpoint of the alarm and its on-delay, and how far the water comes back before it can be too warm anew. */
const TOO_WARM_C = 22;
const TOO_WARM_S = 5;
const BACK_C = 0.5;

/** A stretch in which the water truly climbed, seconds. */
export interface Climb {
  readonly fromS: number;
  toS: number;
}

/** The setpoint of the alarm, °C a minute, and over how long it is looked for. */
const CLIMBS_PER_MIN = COOLANT_RISING_SETPOINT;
const CLIMB_S = 30;

/** What was true of the bench, whatever the station made of it. */
export interface Truth {
  readonly cuts: readonly Cut[];
  /** Seconds at which the water had been too warm for as long as its alarm waits. */
  readonly tooWarm: readonly number[];
  /** Where the water rose faster than the alarm's setpoint, in order. */
  readonly climbs: readonly Readonly<Climb>[];
  /** To be called every second. */
  see(nowS: number, shed: Pick<Shed, "laser" | "bench">): void;
}

export function watchTruth(): Truth {
  const cuts: Cut[] = [];
  const tooWarm: number[] = [];
  let cut: { readonly fromS: number; sum: number; seconds: number } | null = null;
  let warmFor = 0;
  let told = false;
  const climbs: Climb[] = [];
  const lately: number[] = [];
  const climbing = (tankC: number) => {
    lately.push(tankC);
    if (lately.length <= CLIMB_S) return false;
    const before = lately.shift() ?? tankC;
    return ((tankC - before) * 60) / CLIMB_S > CLIMBS_PER_MIN;
  };
  return {
    cuts,
    tooWarm,
    climbs,
    see(nowS, { laser, bench: { tankC } }) {
      if (laser) {
        cut ??= { fromS: nowS, sum: 0, seconds: 0 };
        cut.sum += tankC;
        cut.seconds += 1;
      } else if (cut !== null) {
        cuts.push({ fromS: cut.fromS, toS: nowS, meanC: cut.sum / cut.seconds });
        cut = null;
      }
      const climb = climbs.at(-1);
      if (climbing(tankC)) {
        if (climb !== undefined && climb.toS === nowS - 1) climb.toS = nowS;
        else climbs.push({ fromS: nowS, toS: nowS });
      }
      warmFor = tankC > TOO_WARM_C ? warmFor + 1 : 0;
      if (tankC < TOO_WARM_C - BACK_C) told = false;
      if (warmFor < TOO_WARM_S || told) return;
      told = true;
      tooWarm.push(nowS);
    },
  };
}
