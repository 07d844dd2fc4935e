import { lookLevel } from "../conditions/fire-watch.js";
import { WITHIN_MIN } from "../conditions/margin-forecast.js";
import type { AlarmDefinition } from "../model/alarm.js";
import type { Observation } from "./machine.js";
import type { StationPicture } from "./picture.js";

type Sighting = Omit<Observation, "holdMs">;

/** The extraction stopped, or the lid was opened, before the machine had time to clear; until it has. */
export function runOnCutShort({ afterCut, lidOpen }: StationPicture): Sighting {
  const { state, early, text, leftS } = afterCut.runOn;
  const now = state === "cut-short" || (state === "clearing" && lidOpen === true);
  if (leftS === 0 || !now) return sighting(false, "The extraction has run on, or nothing was cut");
  return sighting(true, `${early ?? "The lid is open"}. ${text}`);
}

/** By the last day on which the fan ran for long enough; a new filter shows on the first day that it is in. */
export function filterLoaded({ setpoint }: AlarmDefinition, { filter }: StationPicture): Sighting {
  const value = filter?.nowPa ?? null;
  if (value === null || setpoint === null) {
    return { presence: "unknown", value: null, detail: "How full the filter is cannot be told yet" };
  }
  return {
    presence: value >= setpoint ? "present" : "absent",
    value,
    detail: `The drop over the filter is ${Math.round(value)} Pa at the fan's usual speed, of ${setpoint} Pa at which it is changed`,
  };
}

const LEVELS = { "fire-watch-due": 1, "fire-watch-late": 2, "fire-watch-missed": 3 } as const;

/** A look of the fire watch that was not made: the longer, the more urgent. */
export function fireWatchLook(kind: keyof typeof LEVELS, { afterCut }: StationPicture): Sighting {
  const { fireWatch } = afterCut;
  if (lookLevel(fireWatch) < LEVELS[kind]) return sighting(false, fireWatch.text);
  const late = Math.floor(-fireWatch.lookInS / 60);
  const since = late < 1 ? "" : ` (due for ${late} min)`;
  return sighting(true, `${fireWatch.text.replace(/\.$/, "")}${since}`);
}

/** From this probability on the margin is said to close within half an hour. */
const SURE = 0.9;

/** The margin is forecast to fall below its set value within half an hour; once it has, `condensation-risk` says so. */
export function condensationComing(picture: StationPicture): Sighting {
  const { value } = picture.margin;
  const { marginAhead, leastMarginC } = picture;
  if (value === null || marginAhead === null) {
    return { presence: "unknown", value: null, detail: "How the condensation margin goes cannot be told" };
  }
  if (value < leastMarginC) return sighting(false, "The margin has closed already");
  const when =
    marginAhead.closesInMin === null
      ? `within ${WITHIN_MIN} min`
      : `in about ${Math.max(1, Math.round(marginAhead.closesInMin))} min`;
  return sighting(
    marginAhead.probability >= SURE,
    `The condensation margin is ${value.toFixed(1)} °C and reaches ${leastMarginC} °C ${when}`,
  );
}

function sighting(present: boolean, detail: string): Sighting {
  return { presence: present ? "present" : "absent", value: null, detail };
}
