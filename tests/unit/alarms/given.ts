import type { Observation } from "../../../station/alarms/machine.js";
import type { PicturedChannel, StationPicture } from "../../../station/alarms/picture.js";
import { observe, type RuleMemory, remember } from "../../../station/alarms/rules.js";
import { unknownTrend } from "../../../station/conditions/coolant-trend.js";
import type { AfterCut } from "../../../station/model/after-cut.js";
import type { AlarmDefinition } from "../../../station/model/alarm.js";
import type { ChannelDefinition } from "../../../station/model/channel.js";
import type { DiskView } from "../../../station/model/disk.js";
import { CHANNEL_KINDS, type ChannelKind } from "../../../station/model/quantity.js";
import { REASONS, type Reading, type Reason } from "../../../station/model/reading.js";

export const RANGE = { low: 18, high: 22 };

export const at = (seconds: number, wall = 1_750_000_000_000 + seconds * 1000) => ({
  wall,
  mono: seconds * 1000,
});

export function channel(id: string, kind: ChannelKind, staleAfterS = 10): ChannelDefinition {
  return {
    id,
    name: CHANNEL_KINDS[kind].label,
    kind,
    unit: CHANNEL_KINDS[kind].unit,
    source: "bench",
    point: null,
    calibration: null,
    valid: [-1000, 10_000],
    resolution: 0.1,
    expectedEveryS: 1,
    staleAfterS,
    runningAt: null,
  };
}

export function good(definition: ChannelDefinition, value: number, seconds: number): PicturedChannel {
  const reading: Reading = { channel: definition.id, at: at(seconds), value, quality: "good", reason: null };
  return { definition, reading };
}

export function faulty(definition: ChannelDefinition, reason: Reason, seconds: number): PicturedChannel {
  const { quality } = REASONS[reason];
  const value = quality === "bad" ? null : 1;
  return { definition, reading: { channel: definition.id, at: at(seconds), value, quality, reason } };
}

/** A disk with plenty of room. */
export function disk(changes: Partial<DiskView> = {}): DiskView {
  return {
    freeBytes: 20e9,
    totalBytes: 32e9,
    journalBytes: 50e6,
    bytesADay: 500_000,
    daysLeft: 40_000,
    fewDays: false,
    trouble: null,
    text: "20.0 GB free on the journal's disk, enough for more than ten years of readings.",
    ...changes,
  };
}

export const NOTHING_CUT: AfterCut = {
  runOn: { state: "idle", leftS: 0, text: "", early: null },
  fireWatch: { state: "none", leftS: 0, lookInS: 0, looks: 0, material: "", text: "", offered: false },
};

export function picture(seconds: number, changes: Partial<StationPicture> = {}): StationPicture {
  return {
    now: at(seconds),
    channels: [],
    margin: { value: 8, quality: "good" },
    extraction: { state: "stopped", text: "the air is still" },
    trend: unknownTrend(),
    usualHeightC: null,
    marginAhead: null,
    leastMarginC: 2,
    afterCut: NOTHING_CUT,
    filter: null,
    lidOpen: null,
    run: null,
    laserOn: false,
    coolantRange: RANGE,
    soundness: {
      state: "sound",
      lookedWall: 0,
      text: "The journal was looked through and is sound.",
      doubt: null,
    },
    disk: disk(),
    backups: { looked: true, lastGoodWall: at(seconds).wall, trouble: null },
    clock: "synchronised",
    journal: { writing: true, held: false, slow: false, text: "The journal is being written" },
    ...changes,
  };
}

export function definition(changes: Partial<AlarmDefinition> = {}): AlarmDefinition {
  return {
    id: "coolant-high",
    kind: "coolant-high",
    title: "Coolant is too warm",
    priority: "high",
    setpoint: 22,
    deadband: 0.2,
    unit: "°C",
    onDelayS: 5,
    offDelayS: 10,
    latching: false,
    reAlarmMin: null,
    group: "coolant",
    cause: "The chiller is off.",
    consequence: "The tube wears faster.",
    action: "Let the coolant come down.",
    respondWithinS: 300,
    reason: "The upper end of the range.",
    ...changes,
  };
}

/** What is seen of one alarm in the last of some pictures. */
export function observed(
  definitions: readonly AlarmDefinition[],
  alarm: string,
  pictures: readonly StationPicture[],
): Observation {
  let memory: RuleMemory | null = null;
  let last: Observation | undefined;
  for (const one of pictures) {
    memory = remember(memory, one);
    last = observe(definitions, one, memory).get(alarm);
  }
  if (last === undefined) throw new Error(`${alarm} was not observed`);
  return last;
}
