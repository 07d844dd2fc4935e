import type { AlarmDefinition, AlarmKind } from "../model/alarm.js";
import { UNITS } from "../model/quantity.js";
import { condensationComing, filterLoaded, fireWatchLook, runOnCutShort } from "./after-cut-rules.js";
import { type Answers, hear, NO_ANSWERS } from "./answers.js";
import { backupOld } from "./backup-rule.js";
import { boardSilent, listen, type SilentBoards } from "./board-rule.js";
import { isBeyond, type Side } from "./compare.js";
import { diskFilling, diskNearlyFull, diskSlow, readingsHeld } from "./disk-rules.js";
import { inputsOf } from "./inputs.js";
import type { Observation, Presence } from "./machine.js";
import { isCutting, type PicturedChannel, type StationPicture, seenOf, sight } from "./picture.js";
import {
  coolantRising,
  extractionNoAir,
  extractionNotRunning,
  extractionWords,
  heatWithoutFlow,
  turnsInVain,
} from "./process-rules.js";
import { sensorDead } from "./sensor-rule.js";
import { journalFound } from "./soundness-rule.js";
import { suppressedBy } from "./suppression.js";
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
  /** How each channel of the picture has answered of late, by channel id. */
  readonly answers: ReadonlyMap<string, Answers>;
  readonly silentBoards: SilentBoards;
}

/** What is seen of an alarm's condition, before the hold of its inputs is added. */
type Sighting = Omit<Observation, "holdMs">;

export function remember(memory: RuleMemory | null, picture: StationPicture): RuleMemory {
  const running = picture.extraction.state === "running";
  const run = picture.run?.id ?? null;
  const already = run !== null && memory?.runWithExtraction === run;
  const sinceMono = memory?.sinceMono ?? picture.now.mono;
  return {
    sinceMono,
    silentBoards: listen(memory?.silentBoards ?? new Map(), picture, sinceMono),
    runningSeen: isCutting(picture) && (running || (memory?.runningSeen ?? false)),
    runWithExtraction: running || already ? run : null,
    answers: new Map(
      picture.channels.map((channel) => [
        channel.definition.id,
        hear(answersOf(channel, memory), channel.reading),
      ]),
    ),
  };
}

/** What is seen of every defined alarm in this picture, by alarm id. `memory` already includes the picture. */
export function observe(
  definitions: readonly AlarmDefinition[],
  picture: StationPicture,
  memory: RuleMemory,
): Map<string, Observation> {
  // Only a board that has an alarm of its own speaks for its sensors.
  const boards = new Set(definitions.filter(({ kind }) => kind === "board-silent").map(({ id }) => id));
  const kinds = new Set(definitions.map(({ kind }) => kind));
  const inputs = inputsOf(picture);
  const suppressing = { ...memory, boards, inputs };
  const flowLossTold = definitions.some(
    (one) =>
      one.kind === "coolant-flow-lost" &&
      flowLost(one, picture, memory).presence === "present" &&
      suppressedBy(one, picture, suppressing) === null,
  );
  const defined = { boards, kinds, flowLossTold };
  const seen = new Map<string, Observation>();
  for (const definition of definitions) {
    const its = inputs.of(definition);
    const { presence, value, detail } = observeOne(definition, its, picture, memory, defined);
    seen.set(definition.id, {
      presence,
      value,
      detail,
      holdMs: holdMs(its),
      suppressedBy: suppressedBy(definition, picture, suppressing),
    });
  }
  return seen;
}

/** As long as the slowest of an alarm's sensors may be without a new value before that value is stale. */
function holdMs(inputs: readonly PicturedChannel[]): number {
  return inputs.reduce((most, { definition }) => Math.max(most, definition.staleAfterS * 1000), 0);
}

/**
 * "absent", but for a while not known where one of the alarm's sensors gives no value now and did less than its stale time
 * ago: the others cannot say that all is well, since it may be the only one that sees the fault, and answer by turns.
 */
function unlessJustLost(
  sighting: Sighting,
  inputs: readonly PicturedChannel[],
  picture: StationPicture,
  memory: RuleMemory,
): Sighting {
  if (sighting.presence !== "absent") return sighting;
  const lost = inputs.some((channel) => {
    if (sight(channel, picture.now, memory.sinceMono).seen === "value") return false;
    const last = answersOf(channel, memory).lastValueMono;
    return last !== null && picture.now.mono - last < channel.definition.staleAfterS * 1000;
  });
  return lost ? { ...sighting, presence: "unknown" } : sighting;
}

function answersOf({ definition }: PicturedChannel, memory: RuleMemory | null): Answers {
  return memory?.answers.get(definition.id) ?? NO_ANSWERS;
}

/** What alarms this station has: the ids of those of boards, and all kinds. */
interface Defined {
  readonly boards: ReadonlySet<string>;
  readonly kinds: ReadonlySet<AlarmKind>;
  readonly flowLossTold: boolean;
}

/** @param its the channels that it is judged by */
function observeOne(
  definition: AlarmDefinition,
  its: readonly PicturedChannel[],
  picture: StationPicture,
  memory: RuleMemory,
  { boards, kinds, flowLossTold }: Defined,
): Sighting {
  switch (definition.kind) {
    case "extraction-stopped":
      return kinds.has("extraction-no-air") && turnsInVain(picture)
        ? state("unknown", extractionWords(picture))
        : extractionStopped(its, picture, memory);
    case "extraction-no-air":
      return unlessJustLost(extractionNoAir(picture), its, picture, memory);
    case "extraction-not-running":
      return kinds.has("extraction-no-air") && turnsInVain(picture)
        ? state("unknown", extractionWords(picture))
        : extractionNotRunning(picture, memory.runWithExtraction);
    case "coolant-high":
      return unlessJustLost(coolant("high", definition, picture, memory), its, picture, memory);
    case "coolant-low":
      return unlessJustLost(coolant("low", definition, picture, memory), its, picture, memory);
    case "coolant-rising":
      return coolantRising(definition, picture);
    case "coolant-heat-no-flow":
      return heatWithoutFlow(definition, picture, memory.sinceMono, flowLossTold);
    case "coolant-flow-lost":
      return unlessJustLost(flowLost(definition, picture, memory), its, picture, memory);
    case "condensation-risk":
      return condensation(definition, picture);
    case "run-on-cut-short":
      return runOnCutShort(picture);
    case "filter-loaded":
      return filterLoaded(definition, picture);
    case "condensation-coming":
      return condensationComing(picture);
    case "fire-watch-due":
    case "fire-watch-late":
    case "fire-watch-missed":
      return fireWatchLook(definition.kind, picture);
    case "sensor-dead":
      return sensorDead(its[0], picture, memory, boards);
    case "board-silent":
      return boardSilent(definition.id, picture, memory.silentBoards, memory.sinceMono);
    case "journal-not-writing":
      return state(picture.journal.writing ? "absent" : "present", picture.journal.text);
    case "readings-held":
      return readingsHeld(picture);
    case "disk-nearly-full":
      return diskNearlyFull(definition, picture);
    case "disk-filling":
      return diskFilling(definition, picture);
    case "disk-slow":
      return diskSlow(picture);
    case "backup-old":
      return backupOld(definition, picture, memory.sinceMono);
    case "journal-damaged":
      return journalFound("damaged", picture);
    case "charts-damaged":
      return journalFound("rollups", picture);
  }
}

/**
 * While cutting, once the extraction has been seen running or the laser is on. A run that is open with the laser off and
 * the extraction never yet on is `extraction-not-running` instead.
 */
function extractionStopped(
  its: readonly PicturedChannel[],
  picture: StationPicture,
  memory: RuleMemory,
): Sighting {
  const { extraction } = picture;
  const matters = isCutting(picture) && (memory.runningSeen || picture.laserOn);
  if (!matters) return state("absent", "Nothing is being cut");
  switch (extraction.state) {
    case "running":
      return unlessJustLost(state("absent", "Extraction is running"), its, picture, memory);
    case "unknown":
      return state("unknown", extractionWords(picture));
    case "stopped":
      return state(
        "present",
        `${extractionWords(picture)} (${picture.laserOn ? "the laser is on" : "a run is open"})`,
      );
  }
}

/** Evaluated always, not only while cutting. Of several inlet sensors the one furthest out decides; a dead one does not. */
function coolant(
  side: Side,
  definition: AlarmDefinition,
  picture: StationPicture,
  memory: RuleMemory,
): Sighting {
  const worst = furthest(side, seenOf(picture, "coolant-inlet", memory.sinceMono));
  if (worst === null || definition.setpoint === null)
    return state("unknown", "Coolant temperature is not known");
  const { low, high } = picture.coolantRange;
  const atRange = definition.setpoint === (side === "high" ? high : low);
  const range = atRange ? "" : `; the coolant range is ${low.toFixed(1)} to ${high.toFixed(1)} °C`;
  return measured(side, definition.setpoint, worst.value, "Cel", worst.name, range);
}

/** A flow switch at 0 decides; else the lowest flow against its setpoint, or against standstill where none is set. */
function flowLost(definition: AlarmDefinition, picture: StationPicture, memory: RuleMemory): Sighting {
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

function condensation(definition: AlarmDefinition, picture: StationPicture): Sighting {
  const { value, quality } = picture.margin;
  if (value === null || quality === "bad" || definition.setpoint === null) {
    return state("unknown", "The condensation margin is not known");
  }
  return measured("low", definition.setpoint, value, "Cel", "Condensation margin", "");
}

function state(presence: Presence, detail: string): Sighting {
  return { presence, value: null, detail };
}

function measured(
  side: Side,
  setpoint: number,
  value: number,
  unit: keyof typeof UNITS,
  subject: string,
  more: string,
): Sighting {
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
