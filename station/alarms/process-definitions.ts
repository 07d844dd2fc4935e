import type { AlarmKind } from "../model/alarm.js";
import { CHANNEL_KINDS, type ChannelKind } from "../model/quantity.js";
import type { AlarmDefault } from "./default.js";

const EXTRACTION = (Object.keys(CHANNEL_KINDS) as ChannelKind[]).filter((kind) =>
  kind.startsWith("extraction-"),
);

/** Rate of rise of the coolant from which the alarm is present, °C/min. This station's choice, no source. */
export const COOLANT_RISING_SETPOINT = 0.2;
/** It is present only where the coolant would leave its range within so many minutes: a chiller's own saw-tooth climbs as fast. See `coolantRising`. */
export const COOLANT_RISING_WITHIN_MIN = 5;
/** The water out of the tube is warmer than that into it by so much, °C: there is heat in the tube. This station's choice, no source. */
export const HEAT_NO_FLOW_SETPOINT = 3;

/**
 * Drop over the filter at which it is changed, Pa: the final pressure drop of fine filters in ISO 16890-2:2016 (from memory). The maker of
 * the filter or the fan gives the one that counts.
 */
export const FILTER_FINAL_PA = 300;

export type ProcessAlarmKind = Extract<
  AlarmKind,
  | "extraction-no-air"
  | "run-on-cut-short"
  | "filter-loaded"
  | "coolant-rising"
  | "coolant-heat-no-flow"
  | "condensation-coming"
  | "fire-watch-due"
  | "fire-watch-late"
  | "fire-watch-missed"
>;

const A_STATE = {
  ...{ side: null, setpoint: null, setpointRange: null, deadband: null, deadbandMost: null, unit: null },
  ...{ onDelayS: 0, offDelayS: 0, latching: false, suppressedWhile: [] },
} as const;

const A_LOOK = {
  ...A_STATE,
  group: "fire",
  needs: [],
  cause: "The time to look has come, and nobody has pressed that they did.",
  action:
    "Go and look at the bed, the tray and the offcuts, and feel for heat. Then press I have looked on any screen. If it smokes or burns: emergency stop, extraction off, get out, call the fire service.",
} as const;

/** The alarms of extraction and coolant that are judged by more than one sensor, or by how things go. */
export const PROCESS_ALARM_DEFAULTS: Readonly<Record<ProcessAlarmKind, AlarmDefault>> = {
  "extraction-no-air": {
    group: "extraction",
    needs: [["extraction-speed"], ["extraction-airflow", "extraction-pressure", "extraction-running"]],
    side: null,
    setpoint: null,
    setpointRange: null,
    deadbandMost: null,
    suppressedWhile: [],
    title: "Extraction turns but moves no air",
    priority: "urgent",
    deadband: null,
    unit: null,
    // A fan that runs down passes through "turns, but moves no air" for a moment or two.
    onDelayS: 4,
    offDelayS: 15,
    latching: false,
    cause: "A closed damper, a duct that has come off, a full filter or a slipping belt.",
    consequence: "The fan sounds as always, and the fume stays in the machine and comes out into the room.",
    action:
      "Stop the cut at the machine and leave the lid closed. Look for a closed damper, a duct that has come off, a blocked filter or a slipping belt.",
    respondWithinS: 30,
    reason:
      "Four seconds pass over a fan that runs down; the room fills with fume within the next half minute.",
  },
  "coolant-rising": {
    group: "coolant",
    needs: [["coolant-inlet"]],
    side: "high",
    setpoint: COOLANT_RISING_SETPOINT,
    setpointRange: [0.02, 20],
    deadbandMost: 50,
    suppressedWhile: ["machine-off"],
    title: "Coolant is rising fast",
    priority: "medium",
    deadband: 0.05,
    unit: "°C/min",
    onDelayS: 20,
    offDelayS: 30,
    latching: false,
    cause: "The chiller does not cool: it is off, its fan or filter is dusty, or the water is low.",
    consequence: "At this rate the coolant leaves its range within minutes.",
    action:
      "Look whether the chiller cools: its fan, its setting, the water level. Do not begin a long job; pause one that runs at the machine if the coolant goes on rising.",
    respondWithinS: 180,
    reason:
      "Above the rise that ten minutes of readings can be out by; a chiller's own saw-tooth is passed over, because the range has to be near, and the water higher than it was within the last hour.",
  },
  "coolant-heat-no-flow": {
    group: "coolant",
    needs: [["coolant-flow", "coolant-flowing"], ["coolant-inlet"], ["coolant-outlet"]],
    side: "high",
    setpoint: HEAT_NO_FLOW_SETPOINT,
    setpointRange: [0.5, 50],
    deadbandMost: 50,
    suppressedWhile: [],
    title: "Heat in the tube, and no flow",
    priority: "urgent",
    deadband: 1,
    unit: "°C",
    onDelayS: 2,
    offDelayS: 10,
    latching: true,
    cause: "The pump was switched off too soon after a cut, or has stopped in it.",
    consequence: "Water that stands in a warm tube can boil and crack it, also after the beam has gone off.",
    action:
      "Do not fire the tube. Get the pump to run again and let it run until both ends are alike; never pour cold water into a hot tube.",
    respondWithinS: 10,
    reason:
      "Well above what two probes in still water are apart by. It latches, because what heat has done to a tube is not undone by cold.",
  },
  "run-on-cut-short": {
    ...A_STATE,
    group: "extraction",
    needs: [[...EXTRACTION, "lid-open"]],
    title: "The machine was not cleared",
    priority: "low",
    onDelayS: 3,
    cause: "The extraction was switched off, or the lid opened, soon after a cut.",
    consequence: "Fume that is still in the machine comes out where you lean over it.",
    action: "Close the lid and let the extraction run for as long as the page Now says.",
    respondWithinS: 30,
    reason: "Two minutes of run-on are common practice, without a source; the owner sets another time.",
  },
  "filter-loaded": {
    group: "extraction",
    needs: [["filter-pressure"]],
    side: "high",
    setpoint: FILTER_FINAL_PA,
    setpointRange: [10, 2500],
    deadbandMost: 500,
    suppressedWhile: [],
    title: "The extraction filter is full",
    priority: "low",
    deadband: 20,
    unit: "Pa",
    onDelayS: 0,
    offDelayS: 0,
    latching: false,
    cause: "Smoke and dust have loaded the filter.",
    consequence: "The fan moves less and less air, and fume stays in the machine longer.",
    action:
      "Change the filter before the next day's cutting, with a mask and gloves on, and enter it under Workshop. Bag the old one: it is full of what was cut.",
    respondWithinS: 86_400,
    reason:
      "By the median of a whole day at the fan's usual speed, so that it needs no delay. The final resistance is the filter maker's.",
  },
  "condensation-coming": {
    ...A_STATE,
    group: "condensation",
    needs: [["coolant-inlet"], ["room-temperature"], ["room-humidity"]],
    title: "Condensation is coming",
    priority: "medium",
    onDelayS: 60,
    offDelayS: 300,
    cause: "The room grows warmer or moister, or the coolant colder, and it has gone on for a while.",
    consequence: "Within half an hour water can form on the tube, its high-voltage end and the optics.",
    action:
      "Set the chiller a degree or two higher, within the tube's range, or dry the room: close the door, run a dehumidifier. Do not begin a long job.",
    respondWithinS: 900,
    reason:
      "It asks for nine chances in ten by a line through the last hour that the last twenty minutes bear out, so that a chiller's cycle, a door that opens or coolant that has come back into its range does not raise it.",
  },
  "fire-watch-due": {
    ...A_LOOK,
    title: "Look for fire",
    priority: "medium",
    consequence: "What smoulders under the bed goes on unseen.",
    respondWithinS: 120,
    reason: "Every ten minutes is common practice, without a source; the owner sets another time.",
  },
  "fire-watch-late": {
    ...A_LOOK,
    title: "Nobody has looked for fire",
    priority: "high",
    consequence: "What smoulders can be burning by now.",
    respondWithinS: 120,
    reason: "Two minutes after a look was due. This station's choice, no source.",
  },
  "fire-watch-missed": {
    ...A_LOOK,
    title: "The fire watch is not kept",
    priority: "urgent",
    consequence: "A fire in the machine would be found by nobody.",
    respondWithinS: 60,
    reason: "Five minutes after a look was due. This station's choice, no source.",
  },
};
