import type { WorkshopFacts } from "../../../station/model/workshop.js";

export interface FactField {
  readonly key: keyof WorkshopFacts;
  readonly label: string;
  readonly unit: string;
}

export interface FactGroup {
  readonly title: string;
  readonly fields: readonly FactField[];
}

const field = (key: keyof WorkshopFacts, label: string, unit = "mm"): FactField => ({ key, label, unit });

export const FACT_GROUPS: readonly FactGroup[] = [
  {
    title: "Lens and focus",
    fields: [
      field("lens_focal_mm", "Focal length of the lens"),
      field("beam_mm", "Beam where it enters the lens"),
      field("m2", "Beam quality M²", ""),
      field("spacer_mm", "Spacer"),
      field("spacer_for_mm", "right for a sheet of"),
      field("focus_depth_share", "Waist below the face, of the thickness", "0 to 1"),
    ],
  },
  {
    title: "Part",
    fields: [
      field("part_length_mm", "Length"),
      field("part_width_mm", "Width"),
      field("gap_mm", "Gap between parts"),
      field("edge_mm", "Free along the edges"),
      field("cut_length_mm", "Cut length of a part"),
    ],
  },
  {
    title: "Money",
    fields: [
      field("currency", "Currency", ""),
      field("laser_per_min", "Laser", "a minute"),
      field("finishing_per_min", "Your own time", "a minute"),
      field("order_sheets", "Sheets in an order", ""),
    ],
  },
  {
    title: "Margin",
    fields: [field("margin_pct", "Slower than the fastest speed found by", "%")],
  },
];

/** What stands in the fields, as typed. */
export type FactDraft = Readonly<Partial<Record<keyof WorkshopFacts, string>>>;

export function factDraft(facts: WorkshopFacts): FactDraft {
  return Object.fromEntries(Object.entries(facts).map(([key, value]) => [key, String(value)]));
}

/** The facts in a draft; what is left empty is not known. Only what is no number at all is refused here, by field. */
export function factsOf(draft: FactDraft): {
  readonly facts: WorkshopFacts;
  readonly wrong: ReadonlyMap<string, string>;
} {
  const wrong = new Map<string, string>();
  const facts: Record<string, string | number> = {};
  for (const [key, typed] of Object.entries(draft)) {
    const text = typed.trim();
    if (text === "") continue;
    if (key === "currency") {
      facts[key] = text;
      continue;
    }
    const value = Number(text.replace(",", "."));
    if (Number.isFinite(value)) facts[key] = value;
    else wrong.set(key, "a number");
  }
  return { facts: facts as WorkshopFacts, wrong };
}
