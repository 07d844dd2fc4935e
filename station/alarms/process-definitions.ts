import type { AlarmKind } from "../model/alarm.js";
import type { AlarmDefault } from "./definitions.js";

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
    title: "Extraction turns but moves no air",
    priority: "urgent",
    deadband: null,
    unit: null,
    // A fan that runs down passes through "turns, but moves no air" for a moment or two.
    onDelayS: 4,
    offDelayS: 2,
    consequence: "The fan sounds as always, and the fume stays in the machine and comes out into the room.",
    action:
      "Stop the cut at the machine and leave the lid closed. Look for a closed damper, a duct that has come off, a blocked filter or a slipping belt.",
  },
  "coolant-rising": {
    title: "Coolant is rising fast",
    priority: "medium",
    deadband: 0.05,
    unit: "°C/min",
    onDelayS: 20,
    offDelayS: 30,
    consequence: "At this rate the coolant leaves its range within minutes.",
    action:
      "Look whether the chiller cools: its fan, its setting, the water level. Do not begin a long job; pause one that runs at the machine if the coolant goes on rising.",
  },
  "coolant-heat-no-flow": {
    title: "Heat in the tube, and no flow",
    priority: "urgent",
    deadband: 1,
    unit: "°C",
    onDelayS: 2,
    offDelayS: 10,
    consequence: "Water that stands in a warm tube can boil and crack it, also after the beam has gone off.",
    action:
      "Do not fire the tube. Get the pump to run again and let it run until both ends are alike; never pour cold water into a hot tube.",
  },
};
