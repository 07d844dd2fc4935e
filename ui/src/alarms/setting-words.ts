import type { AlarmDefinition } from "../../../station/model/alarm.js";
import type { AlarmSetting, FieldChange, SettingField } from "../../../station/model/alarm-setting.js";
import { PRIORITY_WORDS } from "../marks/priority-words.js";
import { anyUnitLabel, asEntered, NO_VALUE } from "../words/number.js";
import { longText } from "../words/time.js";

export const FIELD_WORDS: Readonly<Record<SettingField, string>> = {
  setpoint: "Setpoint",
  deadband: "Deadband",
  onDelayS: "On-delay",
  offDelayS: "Off-delay",
  priority: "Priority",
  latching: "Latches",
  reAlarmMin: "Sounds again after",
  respondWithinS: "Time to respond",
  cause: "Likely cause",
  consequence: "If nothing is done",
  action: "What to do",
};

/** One value of a setting, in words. @param unit of setpoint and deadband */
export function fieldText(field: SettingField, value: FieldChange["to"], unit: string | null): string {
  if (value === null) return field === "reAlarmMin" ? "never" : NO_VALUE;
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (typeof value === "number") {
    switch (field) {
      case "setpoint":
      case "deadband":
        return `${asEntered(value)} ${anyUnitLabel(unit)}`;
      case "reAlarmMin":
        return longText(value * 60_000);
      case "respondWithinS":
        return longText(value * 1000);
      default:
        return `${asEntered(value)} s`;
    }
  }
  return field === "priority" ? (PRIORITY_WORDS[value as AlarmDefinition["priority"]] ?? value) : value;
}

/** Numbers as typed, in the order of the form. */
export const NUMBERS = [
  "setpoint",
  "deadband",
  "onDelayS",
  "offDelayS",
  "reAlarmMin",
  "respondWithinS",
] as const satisfies readonly SettingField[];
export const TEXTS = ["cause", "consequence", "action"] as const satisfies readonly SettingField[];

type NumberField = (typeof NUMBERS)[number];
type TextField = (typeof TEXTS)[number];
export type SettingDraft = Readonly<Record<NumberField | TextField, string>> & {
  readonly priority: AlarmDefinition["priority"];
  readonly latching: boolean;
};

export function draftOfSetting(definition: AlarmDefinition): SettingDraft {
  const numbers = NUMBERS.map((field) => [
    field,
    definition[field] === null ? "" : String(definition[field]),
  ]);
  const texts = TEXTS.map((field) => [field, definition[field]]);
  const { priority, latching } = definition;
  return { ...(Object.fromEntries([...numbers, ...texts]) as SettingDraft), priority, latching };
}

/** What of a draft differs; only what is no number at all is refused here, all else is for the station to say. */
export function changesIn(
  draft: SettingDraft,
  definition: AlarmDefinition,
): { set: AlarmSetting; wrong: ReadonlyMap<string, string> } {
  const wrong = new Map<string, string>();
  const set: Record<string, string | number | boolean | null> = {};
  for (const field of NUMBERS) {
    const text = draft[field].trim().replace(",", ".");
    if (text === "") {
      if (field === "reAlarmMin") set[field] = null;
      else if (definition[field] !== null) wrong.set(field, "a number");
    } else if (Number.isFinite(Number(text))) set[field] = Number(text);
    else wrong.set(field, "a number");
  }
  for (const field of TEXTS) set[field] = draft[field].trim();
  set.priority = draft.priority;
  set.latching = draft.latching;
  const differing = Object.entries(set).filter(
    ([field, value]) => definition[field as SettingField] !== value,
  );
  return { set: Object.fromEntries(differing) as AlarmSetting, wrong };
}
