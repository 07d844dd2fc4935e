import type { AlarmDefinition } from "../model/alarm.js";
import { UNITS } from "../model/quantity.js";
import type { Observation, Presence } from "./machine.js";
import { isCutting, type StationPicture, seenOf } from "./picture.js";
import { COOLANT_RISING_WITHIN_MIN } from "./process-definitions.js";

type Sighting = Omit<Observation, "holdMs">;

/**
 * While cutting, a fan that is seen to turn and an air sensor that sees no air. It takes the place of `extraction-stopped`, which
 * would send people to a switch that is on already.
 */
export function extractionNoAir(picture: StationPicture): Sighting {
  if (!isCutting(picture)) return state("absent", "Nothing is being cut");
  if (turnsInVain(picture)) {
    const why = picture.laserOn ? "the laser is on" : "a run is open";
    return state("present", `Extraction ${picture.extraction.text} (${why})`);
  }
  return picture.extraction.state === "unknown"
    ? state("unknown", `Extraction ${picture.extraction.text}`)
    : state("absent", `Extraction ${picture.extraction.text}`);
}

export function turnsInVain({ extraction }: StationPicture): boolean {
  return extraction.state === "stopped" && extraction.turns === true;
}

/** The text of the extraction is made to stand after that word: "Extraction stopped: fan reads 0 1/min, below 300 1/min". */
export function extractionWords({ extraction }: StationPicture): string {
  return `Extraction ${extraction.text}`;
}

/**
 * From a run's start until the extraction runs or the run ends; after that a stop is `extraction-stopped`.
 * With the extraction unknown it is unknown: the dead sensor says so itself, at the same priority.
 * @param runWithExtraction id of the run during which the extraction has been seen running; null for none
 */
export function extractionNotRunning(picture: StationPicture, runWithExtraction: string | null): Sighting {
  const { extraction, run } = picture;
  if (run === null) return state("absent", "No run is open");
  if (runWithExtraction === run.id) return state("absent", "Extraction has run during this run");
  return extraction.state === "stopped"
    ? state("present", `${extractionWords(picture)} (a run has started)`)
    : state("unknown", extractionWords(picture));
}

/** Water that stands no more than this above where it has been within the hour, °C, may yet be turned by its chiller. This station's choice, no source. */
const ABOVE_USUAL_C = 0.3;

/**
 * The coolant rises faster than the setpoint, beyond doubt, would leave its range within minutes, and stands higher than its chiller has
 * let it rise within the hour. All three are asked for, because in the first cut after a rest, and when a chiller has just switched off,
 * it climbs as fast as with one that has failed, and turns back in good time.
 */
export function coolantRising(definition: AlarmDefinition, picture: StationPicture): Sighting {
  const { word, slopePerMin, minutesInRange, place, level } = picture.trend;
  if (word === "unknown" || slopePerMin === null || definition.setpoint === null) {
    return state("unknown", "How the coolant goes cannot be told");
  }
  if (word !== "rising" || place === "below") {
    return { presence: "absent", value: Math.min(0, slopePerMin), detail: `The coolant is ${word}` };
  }
  const soon = place === "above" || (minutesInRange !== null && minutesInRange <= COOLANT_RISING_WITHIN_MIN);
  const rate = `${slopePerMin.toFixed(slopePerMin < 0.95 ? 2 : 1)} ${UNITS["Cel/min"].label}`;
  const when =
    place === "above" || minutesInRange === null
      ? ""
      : `; at this rate it leaves its range in ${leavingWords(minutesInRange)}`;
  const detail = `The coolant rises ${rate}${when}`;
  const usual = picture.usualHeightC;
  if (place === "inside" && level !== null && usual !== null && level <= usual + ABOVE_USUAL_C) {
    const sofar = `, and is no higher yet than it was within the last hour (${usual.toFixed(1)} ${UNITS.Cel.label})`;
    return { presence: "absent", value: null, detail: `${detail}${sofar}` };
  }
  // One that turns back in good time has no value to be held against the deadband.
  return soon
    ? { presence: slopePerMin > definition.setpoint ? "present" : "absent", value: slopePerMin, detail }
    : { presence: "absent", value: null, detail };
}

function leavingWords(minutes: number): string {
  return minutes < 1 ? "less than a minute" : `about ${Math.floor(minutes)} min`;
}

/**
 * No flow, and the water at the tube's outlet warmer than at its inlet by more than the setpoint; or no flow and the laser on, where
 * no alarm of its own tells of lost flow. The sensor of the outlet sits where the hot water stands.
 * @param lossIsTold `coolant-flow-lost` is there, sees its condition, and is not suppressed by design
 */
export function heatWithoutFlow(
  definition: AlarmDefinition,
  picture: StationPicture,
  sinceMono: number,
  lossIsTold: boolean,
): Sighting {
  const flowing = flowSeen(picture, sinceMono);
  if (flowing === null) return state("unknown", "Coolant flow is not known");
  if (flowing) return state("absent", "The coolant is flowing");
  if (picture.laserOn && !lossIsTold) {
    return state("present", "The coolant is not flowing, and the laser is on");
  }
  const inlet = seenOf(picture, "coolant-inlet", sinceMono)[0];
  const outlet = seenOf(picture, "coolant-outlet", sinceMono)[0];
  if (inlet === undefined || outlet === undefined || definition.setpoint === null) {
    return state("unknown", "How warm the tube is cannot be told");
  }
  const value = outlet.value - inlet.value;
  const degrees = UNITS.Cel.label;
  return {
    presence: value > definition.setpoint ? "present" : "absent",
    value,
    detail: `The coolant is not flowing, and is ${outlet.value.toFixed(1)} ${degrees} out of the tube, ${value.toFixed(1)} ${degrees} above what flows in`,
  };
}

/** Whether any water flows: a switch that is off, or a flow of 0, says no; null where no sensor says. */
function flowSeen(picture: StationPicture, sinceMono: number): boolean | null {
  const seen = [
    ...seenOf(picture, "coolant-flowing", sinceMono),
    ...seenOf(picture, "coolant-flow", sinceMono),
  ];
  if (seen.length === 0) return null;
  return seen.every(({ value }) => value > 0);
}

function state(presence: Presence, detail: string): Sighting {
  return { presence, value: null, detail };
}
