import type { AlarmKind } from "../model/alarm.js";
import type { AlarmDefault } from "./default.js";

/** Rate of rise of the coolant from which the alarm is present, °C/min. This station's choice, no source. */
export const COOLANT_RISING_SETPOINT = 0.2;
/** It is present only where the coolant would leave its range within so many minutes: a chiller's own saw-tooth climbs as fast. */
export const COOLANT_RISING_WITHIN_MIN = 5;
/** The water out of the tube is warmer than that into it by so much, °C: there is heat in the tube. This station's choice, no source. */
export const HEAT_NO_FLOW_SETPOINT = 3;

export type ProcessAlarmKind = Extract<
  AlarmKind,
  "extraction-no-air" | "coolant-rising" | "coolant-heat-no-flow"
>;

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
      "Above the rise that ten minutes of readings can be out by; a chiller's own saw-tooth is passed over, because the range has to be near as well.",
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
};
