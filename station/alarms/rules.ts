import type { AlarmDefinition } from "../model/alarm.js";
import { UNITS } from "../model/quantity.js";
import { isBeyond, type Side } from "./compare.js";
import type { Observation, Presence } from "./machine.js";
import { isCutting, type StationPicture, seenOf, sight } from "./picture.js";
import { againstSetpoint } from "./wording.js";

export type { StationPicture } from "./picture.js";

/** What the rules have to know of the moments before this one. The desk keeps it; `remember` carries it forward. */
export interface RuleMemory {
  /** `mono` of the first picture, milliseconds. */
  readonly sinceMono: number;
  /** The extraction has been seen running since this cutting began; false while nothing is cutting. */
  readonly runningSeen: boolean;
  /** The run during which the extraction has been seen running; null for none. */
  readonly runWithExtraction: string | null;
}

export function remember(memory: RuleMemory | null, picture: StationPicture): RuleMemory {
  const running = picture.extraction.state === "running";
  const run = picture.run?.id ?? null;
  const already = run !== null && memory?.runWithExtraction === run;
  return {
    sinceMono: memory?.sinceMono ?? picture.now.mono,
    runningSeen: isCutting(picture) && (running || (memory?.runningSeen ?? false)),
    runWithExtraction: running || already ? run : null,
  };
}

/** What is seen of every defined alarm in this picture, by alarm id. `memory` already includes the picture. */
export function observe(
  definitions: readonly AlarmDefinition[],
  picture: StationPicture,
  memory: RuleMemory,
): Map<string, Observation> {
  return new Map(definitions.map((definition) => [definition.id, observeOne(definition, picture, memory)]));
}

function observeOne(definition: AlarmDefinition, picture: StationPicture, memory: RuleMemory): Observation {
  switch (definition.kind) {
    case "extraction-stopped":
      return extractionStopped(picture, memory);
    case "extraction-not-running":
      return extractionNotRunning(picture, memory);
    case "coolant-high":
      return coolant("high", definition, picture, memory);
    case "coolant-low":
      return coolant("low", definition, picture, memory);
    case "coolant-flow-lost":
      return flowLost(definition, picture, memory);
    case "condensation-risk":
      return condensation(definition, picture);
    case "sensor-dead":
      return sensorDead(definition, picture, memory);
    case "journal-not-writing":
      return state(picture.journal.writing ? "absent" : "present", picture.journal.text);
  }
}

/**
 * While cutting, once the extraction has been seen running or the laser is on. A run that is open with the laser off and
 * the extraction never yet on is `extraction-not-running` instead.
 */
function extractionStopped(picture: StationPicture, memory: RuleMemory): Observation {
  const { extraction } = picture;
  const matters = isCutting(picture) && (memory.runningSeen || picture.laserOn);
  if (extraction.state === "running") return state("absent", "Extraction is running");
  if (!matters) return state("absent", "Nothing is being cut");
  if (extraction.state === "unknown")
    return state("unknown", `Extraction cannot be told: ${extraction.text}`);
  const during = picture.laserOn ? "the laser is on" : "a run is open";
  return state("present", `Extraction has stopped while ${during}: ${extraction.text}`);
}

/**
 * From a run's start until the extraction runs or the run ends; after that a stop is `extraction-stopped`.
 * With the extraction unknown it is unknown: the dead sensor says so itself, at the same priority.
 */
function extractionNotRunning(picture: StationPicture, memory: RuleMemory): Observation {
  const { extraction, run } = picture;
  if (run === null) return state("absent", "No run is open");
  if (memory.runWithExtraction === run.id) return state("absent", "Extraction has run during this run");
  return extraction.state === "stopped"
    ? state("present", `The run has started and the extraction is not running: ${extraction.text}`)
    : state("unknown", `Extraction cannot be told: ${extraction.text}`);
}

/** Evaluated always, not only while cutting. Of several inlet sensors the one furthest out decides; a dead one does not. */
function coolant(
  side: Side,
  definition: AlarmDefinition,
  picture: StationPicture,
  memory: RuleMemory,
): Observation {
  const worst = furthest(side, seenOf(picture, "coolant-inlet", memory.sinceMono));
  if (worst === null || definition.setpoint === null)
    return state("unknown", "Coolant temperature is not known");
  const { low, high } = picture.coolantRange;
  const atRange = definition.setpoint === (side === "high" ? high : low);
  const range = atRange ? "" : `; the coolant range is ${low.toFixed(1)} to ${high.toFixed(1)} °C`;
  return measured(side, definition.setpoint, worst.value, "Cel", worst.name, range);
}

/** A flow switch at 0 decides; else the lowest flow against its setpoint, or against standstill where none is set. */
function flowLost(definition: AlarmDefinition, picture: StationPicture, memory: RuleMemory): Observation {
  const switches = seenOf(picture, "coolant-flowing", memory.sinceMono);
  const off = switches.find((channel) => channel.value === 0);
  if (off !== undefined) return state("present", `${off.name} says the coolant is not flowing`);

  const lowest = furthest("low", seenOf(picture, "coolant-flow", memory.sinceMono));
  if (lowest !== null && definition.setpoint !== null) {
    return measured("low", definition.setpoint, lowest.value, "l/min", lowest.name, "");
  }
  if (lowest !== null) {
    const detail = `${lowest.name} is ${lowest.value.toFixed(1)} ${UNITS["l/min"].label}`;
    return { presence: lowest.value <= 0 ? "present" : "absent", value: lowest.value, detail };
  }
  return switches.length > 0
    ? state("absent", "The coolant is flowing")
    : state("unknown", "Coolant flow is not known");
}

function condensation(definition: AlarmDefinition, picture: StationPicture): Observation {
  const { value, quality } = picture.margin;
  if (value === null || quality === "bad" || definition.setpoint === null) {
    return state("unknown", "The condensation margin is not known");
  }
  return measured("low", definition.setpoint, value, "Cel", "Condensation margin", "");
}

function sensorDead(definition: AlarmDefinition, picture: StationPicture, memory: RuleMemory): Observation {
  const channel = picture.channels.find((one) => `sensor-dead:${one.definition.id}` === definition.id);
  if (channel === undefined) return state("unknown", "This channel is not there any more");
  const { name } = channel.definition;
  const what = sight(channel, picture.now, memory.sinceMono);
  switch (what.seen) {
    case "value":
      return state("absent", `${name} reports`);
    case "nothing-yet":
      return state("unknown", `${name} has not been read yet`);
    case "dead":
      return state("present", `${name}: ${what.why}`);
  }
}

function state(presence: Presence, detail: string): Observation {
  return { presence, value: null, detail };
}

function measured(
  side: Side,
  setpoint: number,
  value: number,
  unit: keyof typeof UNITS,
  subject: string,
  more: string,
): Observation {
  const beyond = isBeyond(side, value, setpoint);
  const words = againstSetpoint(side, value, setpoint, beyond, UNITS[unit].label);
  return { presence: beyond ? "present" : "absent", value, detail: `${subject} is ${words}${more}` };
}

function furthest<T extends { readonly value: number }>(side: Side, seen: readonly T[]): T | null {
  return seen.reduce<T | null>(
    (worst, one) => (worst === null || isBeyond(side, one.value, worst.value) ? one : worst),
    null,
  );
}
