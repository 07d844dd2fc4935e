import type { AlarmKind, Priority } from "../model/alarm.js";
import type { ChannelKind } from "../model/quantity.js";
import { PROCESS_ALARM_DEFAULTS } from "./process-definitions.js";

/**
 * What each alarm is for, and its setting where station.yaml says nothing else. Every alarm has a consequence and an
 * action, as ISA-18.2 asks of the rationalisation of an alarm (from memory): a thing nobody can act on is not an alarm.
 *
 * The delays and deadbands are this station's choice (common practice, no source): long enough that one odd reading does
 * not sound the alarm, short beside the time a person needs to act. Setpoints of the coolant come from the set range.
 */
export interface AlarmDefault {
  readonly title: string;
  readonly priority: Priority;
  readonly deadband: number | null;
  readonly unit: string | null;
  readonly onDelayS: number;
  readonly offDelayS: number;
  readonly consequence: string;
  readonly action: string;
}

/** Condensation margin (coolant minus dew point) below which the alarm is present; °C. This station's choice, no source. */
export const CONDENSATION_SETPOINT = 2;

/**
 * Free room on the journal's disk below which it is said to be filling and nearly full, MB; and the days for which it must
 * last. A year of a dozen channels once a second takes some 200 MB. This station's choice, no source.
 */
export const DISK_FILLING_SETPOINT = 1000;
export const DISK_NEARLY_FULL_SETPOINT = 200;
export const DISK_FILLING_DAYS = 30;

/** Days since the last good backup beyond which it is too old: one a day is due, and a shop is closed on Sundays. No source. */
export const BACKUP_OLD_SETPOINT = 3;

export const ALARM_DEFAULTS: Readonly<Record<AlarmKind, AlarmDefault>> = {
  "extraction-stopped": {
    title: "Extraction has stopped",
    priority: "urgent",
    deadband: null,
    unit: null,
    onDelayS: 2,
    offDelayS: 2,
    consequence: "Fume and smoke stay in the machine and come out into the room you breathe in.",
    action:
      "Stop the cut at the machine. Leave the lid closed, find out why no air moves (fan, duct, damper, filter), and go on only once it runs.",
  },
  "extraction-not-running": {
    title: "Extraction is not running",
    priority: "high",
    deadband: null,
    unit: null,
    onDelayS: 0,
    offDelayS: 0,
    consequence: "A run has started and nothing is carrying its fume away.",
    action:
      "Switch the extraction on before the beam. If the machine is cutting already, pause it there first.",
  },
  ...PROCESS_ALARM_DEFAULTS,
  "coolant-high": {
    title: "Coolant is too warm",
    priority: "high",
    deadband: 0.2,
    unit: "°C",
    onDelayS: 5,
    offDelayS: 10,
    consequence:
      "The tube gives less power and wears faster. A run cut outside the coolant range is flagged.",
    action:
      "Pause the job at the machine and let the coolant come down before you go on. Look at the chiller, its fan and the water level.",
  },
  "coolant-low": {
    title: "Coolant is too cold",
    priority: "high",
    deadband: 0.2,
    unit: "°C",
    onDelayS: 5,
    offDelayS: 10,
    consequence: "Cold water brings condensation nearer. A run cut outside the coolant range is flagged.",
    action: "Let the coolant warm up before the next cut, and look at the chiller's setting.",
  },
  "coolant-flow-lost": {
    title: "Coolant flow is lost",
    priority: "urgent",
    deadband: 0.2,
    unit: "L/min",
    onDelayS: 2,
    offDelayS: 5,
    consequence: "A tube that fires without flowing water can overheat and crack within moments.",
    action:
      "Stop the cut at the machine. Look at the pump, at kinked hoses, at air in the loop and at the water level.",
  },
  "condensation-risk": {
    title: "Condensation risk",
    priority: "high",
    deadband: 0.5,
    unit: "°C",
    onDelayS: 30,
    offDelayS: 30,
    consequence: "Water can form on the tube, its high-voltage end and the optics.",
    action:
      "Stop cutting. Raise the coolant temperature or dry the room, and let everything dry before the next cut.",
  },
  "board-silent": {
    title: "Board does not answer",
    priority: "medium",
    deadband: null,
    unit: null,
    onDelayS: 3,
    offDelayS: 3,
    consequence: "Nothing that is wired to this board is watched, and no switch on it does anything.",
    action:
      "Push its cable home at both ends and look to its power. If that does not help, unplug it for ten seconds.",
  },
  "sensor-dead": {
    title: "Sensor fault",
    priority: "medium",
    deadband: null,
    unit: null,
    onDelayS: 3,
    offDelayS: 3,
    consequence: "What depends on this sensor is not watched, or only now and then.",
    action:
      "Push the plug home at both ends, then look along the wire for a break. If the sensor stays dead, try another one in its place.",
  },
  "journal-not-writing": {
    title: "Journal is not being written",
    priority: "high",
    deadband: null,
    unit: null,
    onDelayS: 5,
    offDelayS: 5,
    consequence: "Readings and runs from now on may be lost.",
    action: "Note the run by hand until this is mended. Look at the free space and at the card or disk.",
  },
  "readings-held": {
    title: "Readings are held: the disk is full",
    priority: "high",
    deadband: null,
    unit: null,
    onDelayS: 5,
    offDelayS: 5,
    consequence:
      "Readings wait in memory, and a power cut would take them. Runs, stamps, alarms and settings are still kept.",
    action:
      "Make room on the journal's disk: move old backups and exports elsewhere. The readings are then written by themselves; do not restart the station before.",
  },
  "disk-nearly-full": {
    title: "The disk is nearly full",
    priority: "medium",
    deadband: 20,
    unit: "MB",
    onDelayS: 10,
    offDelayS: 30,
    consequence:
      "Backups to this disk are not made any more, and before long readings will be held in memory.",
    action: "Make room on the journal's disk today: move old backups and exports elsewhere.",
  },
  "disk-filling": {
    title: "The disk is filling up",
    priority: "low",
    deadband: 100,
    unit: "MB",
    onDelayS: 60,
    offDelayS: 60,
    consequence: "When it is full, backups stop first and readings last.",
    action: "Make room on the journal's disk, or move the journal to a larger one, in the next days.",
  },
  "disk-slow": {
    title: "The disk is slow",
    priority: "low",
    deadband: null,
    unit: null,
    onDelayS: 0,
    offDelayS: 60,
    consequence: "A card that is worn out becomes slow before it fails, and takes the journal with it.",
    action:
      "Check that the last backup is a good one, and put in a new card or disk. If something else is busy on this disk, let it finish.",
  },
  "backup-old": {
    title: "The last backup is too old",
    priority: "low",
    deadband: 0,
    unit: "days",
    onDelayS: 300,
    offDelayS: 0,
    consequence: "If the card fails now, every run and reading since that backup is lost with it.",
    action:
      "Look at the page Journal: put the backup drive in, or press Back up now, and read there what stands in the way.",
  },
  "journal-damaged": {
    title: "The journal is damaged",
    priority: "medium",
    deadband: null,
    unit: null,
    onDelayS: 0,
    offDelayS: 0,
    consequence:
      "Some of what was recorded cannot be read, or is missing where it is shown or saved. It may grow worse: the card may be failing.",
    action:
      "Keep the older backups, and have a new card ready if this one is old. The page Journal says what is damaged and how a backup is put back.",
  },
  "charts-damaged": {
    title: "Charts may be wrong",
    priority: "low",
    deadband: null,
    unit: null,
    onDelayS: 0,
    offDelayS: 0,
    consequence:
      "Charts of days and longer may show what was not measured. The readings themselves are sound.",
    action: "Cut on: nothing is lost. The page Journal says how the charts are made right between two jobs.",
  },
};

/** A dead sensor counts as high where its loss blinds the station to what can do harm within one cut. */
export function deadSensorPriority(kind: ChannelKind): Priority {
  return kind.startsWith("coolant-flow") || kind === "coolant-inlet" || isExtraction(kind)
    ? "high"
    : "medium";
}

export function isExtraction(kind: ChannelKind): boolean {
  return kind.startsWith("extraction-");
}
