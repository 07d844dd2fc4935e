import type { RunSettings } from "../../../station/model/run.js";
import { lotBeside } from "../words/lot.js";
import { asEntered } from "../words/number.js";

export const AIR_ASSIST = ["off", "low", "high"] as const;

type TextKey = "material" | "lot" | "specimen" | "note";
type NumberKey = "power_pct" | "speed_mm_s" | "passes" | "focus_spacer_mm";

export const TEXT_FIELDS: readonly {
  readonly key: TextKey;
  readonly label: string;
  readonly most: number;
}[] = [
  { key: "material", label: "Material", most: 80 },
  { key: "lot", label: "Lot", most: 40 },
  { key: "specimen", label: "Specimen", most: 40 },
];

export const NUMBER_FIELDS: readonly {
  readonly key: NumberKey;
  readonly label: string;
  readonly unit: string;
}[] = [
  { key: "power_pct", label: "Power", unit: "%" },
  { key: "speed_mm_s", label: "Speed", unit: "mm/s" },
  { key: "passes", label: "Passes", unit: "" },
  { key: "focus_spacer_mm", label: "Focus spacer", unit: "mm" },
];

export const NOTE_MOST = 500;

/** What stands in the fields of the form, as typed. */
export type Draft = Readonly<Record<keyof RunSettings, string>>;

export const EMPTY_DRAFT: Draft = {
  material: "",
  lot: "",
  specimen: "",
  power_pct: "",
  speed_mm_s: "",
  passes: "",
  air_assist: "",
  focus_spacer_mm: "",
  note: "",
};

export function draftOf(settings: RunSettings): Draft {
  const filled: Partial<Record<keyof RunSettings, string>> = {};
  for (const [key, value] of Object.entries(settings) as [keyof RunSettings, string | number | undefined][]) {
    if (value !== undefined) filled[key] = typeof value === "number" ? String(value) : value;
  }
  return { ...EMPTY_DRAFT, ...filled };
}

/**
 * The settings in a draft; what is left empty is left out. Whether a number is in its range is for the station to say: here
 * only what is no number at all is refused, by field.
 */
export function settingsOf(draft: Draft): { settings: RunSettings; wrong: ReadonlyMap<string, string> } {
  const wrong = new Map<string, string>();
  const settings: { -readonly [K in keyof RunSettings]: RunSettings[K] } = {};
  for (const key of ["material", "lot", "specimen", "note"] as const) {
    const text = draft[key].trim();
    if (text !== "") settings[key] = text;
  }
  for (const { key } of NUMBER_FIELDS) {
    const text = draft[key].trim().replace(",", ".");
    if (text === "") continue;
    const value = Number(text);
    if (Number.isFinite(value)) settings[key] = value;
    else wrong.set(key, "a number");
  }
  const air = AIR_ASSIST.find((step) => step === draft.air_assist);
  if (air) settings.air_assist = air;
  return { settings, wrong };
}

/** The settings in a line, those that change the cut most first; an empty list where nothing was entered. */
export function summaryOf(settings: RunSettings): readonly string[] {
  const parts: string[] = [];
  if (settings.material) parts.push(settings.material);
  if (settings.power_pct !== undefined) parts.push(`${asEntered(settings.power_pct)}\u00a0%`);
  if (settings.speed_mm_s !== undefined) parts.push(`${asEntered(settings.speed_mm_s)}\u00a0mm/s`);
  if (settings.passes !== undefined)
    parts.push(settings.passes === 1 ? "1 pass" : `${settings.passes} passes`);
  if (settings.air_assist) parts.push(`air ${settings.air_assist}`);
  const lot = lotBeside(settings.material, settings.lot);
  if (lot !== null) parts.push(`lot ${lot}`);
  if (settings.specimen) parts.push(`specimen ${settings.specimen}`);
  if (settings.focus_spacer_mm !== undefined)
    parts.push(`spacer ${asEntered(settings.focus_spacer_mm)}\u00a0mm`);
  if (settings.note) parts.push(settings.note);
  return parts;
}
