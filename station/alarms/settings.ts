import { AppError } from "../errors.js";
import type { AlarmDefinition } from "../model/alarm.js";
import {
  type AlarmSetting,
  type AlarmSettingView,
  type FieldChange,
  type KeptAlarmSetting,
  LONGEST_DELAY_S,
  LONGEST_RE_ALARM_MIN,
  LONGEST_RESPONSE_S,
  SETTING_FIELDS,
  type SettingLimits,
} from "../model/alarm-setting.js";
import { ALARM_DEFAULTS } from "./definitions.js";
import { contradictions } from "./guard.js";

/**
 * How the alarms are set: as station.yaml says, and over that what their owner has set on the page. Pure but for what it holds.
 * The coolant range, by which runs are flagged, is none of this.
 */
export interface AlarmSettings {
  definitions(): readonly AlarmDefinition[];
  /** @throws AppError `alarm-unknown` */
  view(alarm: string): AlarmSettingView;
  /**
   * Sets an alarm otherwise. What is not named stays as it is; what is as in station.yaml no longer stands over it.
   * @returns what to keep; null where nothing changes
   * @throws AppError `alarm-unknown`; `alarm-setting-refused`, with its fields, where it cannot be meant
   */
  change(alarm: string, set: AlarmSetting, why: string): KeptAlarmSetting | null;
  /** As station.yaml has it. @throws as `change`: the others may not allow it */
  toFile(alarm: string, why: string): KeptAlarmSetting | null;
  /** What was last set of it on the page; undefined where nothing was. */
  kept(alarm: string): KeptAlarmSetting | undefined;
  /** What was set before this start; what has been set since stands. @returns ids of alarms whose setting no longer goes with the others and was passed over */
  takeUp(kept: ReadonlyMap<string, KeptAlarmSetting>): readonly string[];
}

/** @param leastDiskMb what readings leave of the journal's disk: that it is nearly full is said before */
export function createAlarmSettings(
  fromFile: readonly AlarmDefinition[],
  { leastDiskMb = 0 }: { readonly leastDiskMb?: number } = {},
): AlarmSettings {
  const files = new Map(fromFile.map((definition) => [definition.id, definition]));
  const set = new Map<string, KeptAlarmSetting>();
  let current = fromFile;

  const definedBy = (settings: ReadonlyMap<string, KeptAlarmSetting>) =>
    fromFile.map((file) => over(file, settings.get(file.id)));
  const fileOf = (alarm: string): AlarmDefinition => {
    const file = files.get(alarm);
    if (file !== undefined) return file;
    throw new AppError(
      "alarm-unknown",
      `No alarm is called "${alarm}". Reload the page to see those there are.`,
    );
  };
  const nowOf = (alarm: string) => over(fileOf(alarm), set.get(alarm));

  /** @throws AppError `alarm-setting-refused` */
  function settle(alarm: string, wanted: AlarmSetting, why: string): KeptAlarmSetting | null {
    const file = fileOf(alarm);
    const before = nowOf(alarm);
    refuse(rangeFaults(file, wanted));
    const differing = differences(file, { ...file, ...wanted });
    const kept: KeptAlarmSetting = { set: pick(wanted, differing), why, changes: [] };
    const after = over(file, kept);
    const changes = differences(before, after).map((field) => ({
      ...{ field, from: before[field], to: after[field] },
    }));
    if (changes.length === 0) return null;
    const settings = new Map([...set, [alarm, kept] as const]);
    const defined = definedBy(settings);
    refuse([...contradictionFaults(after, defined), ...diskFaults(after, leastDiskMb)]);
    const done: KeptAlarmSetting = { ...kept, changes };
    set.set(alarm, done);
    current = definedBy(set);
    return done;
  }

  return {
    definitions: () => current,
    view(alarm) {
      const file = fileOf(alarm);
      const changed = set.get(alarm)?.set ?? {};
      return {
        definition: nowOf(alarm),
        file,
        changed: SETTING_FIELDS.filter((field) => changed[field] !== undefined),
        limits: limitsOf(file),
      };
    },
    change: (alarm, wanted, why) => settle(alarm, { ...pickAll(nowOf(alarm)), ...wanted }, why),
    toFile: (alarm, why) => settle(alarm, pickAll(fileOf(alarm)), why),
    kept: (alarm) => set.get(alarm),
    takeUp(kept) {
      const passedOver: string[] = [];
      for (const [alarm, setting] of kept) {
        const file = files.get(alarm);
        if (file === undefined || set.has(alarm)) continue;
        const settings = new Map([...set, [alarm, setting] as const]);
        const after = over(file, setting);
        const faults = [
          ...rangeFaults(file, setting.set),
          ...contradictionFaults(after, definedBy(settings)),
          ...diskFaults(after, leastDiskMb),
        ];
        if (faults.length > 0) passedOver.push(alarm);
        else set.set(alarm, setting);
      }
      current = definedBy(set);
      return passedOver;
    },
  };
}

/** The owner's reason is that of a value the owner has set. */
function over(file: AlarmDefinition, kept: KeptAlarmSetting | undefined): AlarmDefinition {
  if (kept === undefined) return file;
  const reasoned = REASONED.some((field) => kept.set[field] !== undefined);
  return { ...file, ...(kept.set as Partial<AlarmDefinition>), ...(reasoned ? { reason: kept.why } : {}) };
}

const REASONED = ["setpoint", "deadband", "onDelayS", "offDelayS", "priority"] as const;

function differences(a: AlarmDefinition, b: AlarmDefinition) {
  return SETTING_FIELDS.filter((field) => a[field] !== b[field]);
}

function pickAll(definition: AlarmDefinition): AlarmSetting {
  return pick(definition, SETTING_FIELDS);
}

function pick(from: AlarmSetting, fields: readonly FieldChange["field"][]): AlarmSetting {
  return Object.fromEntries(fields.map((field) => [field, from[field]]));
}

function limitsOf({ kind, setpoint }: AlarmDefinition): SettingLimits {
  const { setpointRange, deadbandMost } = ALARM_DEFAULTS[kind];
  const numeric = setpoint !== null;
  return {
    setpoint: numeric ? setpointRange : null,
    deadband: numeric && deadbandMost !== null ? [0, deadbandMost] : null,
    delayS: [0, LONGEST_DELAY_S],
    reAlarmMin: [1, LONGEST_RE_ALARM_MIN],
    respondWithinS: [1, LONGEST_RESPONSE_S],
  };
}

interface Fault {
  readonly path: string;
  readonly expected: string;
}

function rangeFaults(file: AlarmDefinition, wanted: AlarmSetting): Fault[] {
  const limits = limitsOf(file);
  const unit = file.unit === null ? "" : ` ${file.unit}`;
  return [
    ...outside("setpoint", wanted.setpoint ?? null, limits.setpoint, unit),
    ...outside("deadband", wanted.deadband ?? null, limits.deadband, unit),
    ...outside("onDelayS", wanted.onDelayS ?? null, limits.delayS, " s"),
    ...outside("offDelayS", wanted.offDelayS ?? null, limits.delayS, " s"),
    ...outside("reAlarmMin", wanted.reAlarmMin ?? null, limits.reAlarmMin, " min"),
    ...outside("respondWithinS", wanted.respondWithinS ?? null, limits.respondWithinS, " s"),
  ];
}

function outside(
  path: string,
  value: number | null,
  limits: readonly [number, number] | null,
  unit: string,
): Fault[] {
  if (value === null) return [];
  if (limits === null)
    return [{ path, expected: "none: this alarm watches a state, and compares no number" }];
  const [least, most] = limits;
  return value >= least && value <= most ? [] : [{ path, expected: `from ${least} to ${most}${unit}` }];
}

/** Told at the alarm that is being set, also where the rule names the other one. */
function contradictionFaults({ kind }: AlarmDefinition, defined: readonly AlarmDefinition[]): Fault[] {
  return contradictions(defined).map(({ path, expected }) => {
    const [whose, field] = path.split(".");
    return whose === kind
      ? { path: field ?? path, expected }
      : { path: field ?? path, expected: `a value with which ${whose} can be ${expected}` };
  });
}

function diskFaults({ kind, setpoint }: AlarmDefinition, leastDiskMb: number): Fault[] {
  if (kind !== "disk-nearly-full" || setpoint === null || setpoint > leastDiskMb) return [];
  return [
    { path: "setpoint", expected: `more than the ${leastDiskMb} MB that are kept for runs and alarms` },
  ];
}

function refuse(faults: readonly Fault[]): void {
  if (faults.length === 0) return;
  const words = faults.map(({ path, expected }) => `${path}: expected ${expected}`).join("; ");
  throw new AppError("alarm-setting-refused", `Not set: ${words}.`, [...faults]);
}
