import type { WorkshopFacts } from "../../../station/model/workshop.js";
import type { Limits } from "../trials/typed/limits.js";
import { readForm, withoutCurrency } from "../trials/typed/numbers.js";

export interface FactField {
  readonly key: keyof WorkshopFacts;
  readonly label: string;
  readonly unit: string;
  /** What it is for, under the field; empty where its label says it. */
  readonly more: string;
  /** Null where it is no number. */
  readonly limits: Limits | null;
}

export interface FactGroup {
  readonly title: string;
  readonly fields: readonly FactField[];
}

const length = (most: number): Limits => ({ above: 0, most });
const share = (most: number): Limits => ({ least: 0, most });
const MONEY = share(1e5);

function field(
  key: keyof WorkshopFacts,
  label: string,
  unit: string,
  limits: Limits | null = length(10_000),
  more = "",
): FactField {
  return { key, label, unit, limits, more };
}

export const FACT_GROUPS: readonly FactGroup[] = [
  {
    title: "Lens and focus",
    fields: [
      field("lens_focal_mm", "Focal length", "mm", length(500)),
      field("beam_mm", "Beam at the lens", "mm", length(50)),
      field(
        "m2",
        "Beam quality M²",
        "",
        { least: 1, most: 20 },
        "1 is a perfect beam; small tubes are near 1.2.",
      ),
      field(
        "spacer_mm",
        "Height of your spacer",
        "mm",
        share(200),
        "What you set between head and sheet to set the focus.",
      ),
      field(
        "spacer_for_mm",
        "Sheet it is right for",
        "mm",
        length(100),
        "The sheet thickness that this spacer puts in focus. From the two the spacer for any other thickness is worked out.",
      ),
      field(
        "focus_depth_share",
        "Focus below the face",
        "",
        share(1),
        "0 on the face, 0.5 in the middle, 1 on the back.",
      ),
    ],
  },
  {
    title: "The part you sell",
    fields: [
      field("part_length_mm", "Length", "mm"),
      field("part_width_mm", "Width", "mm"),
      field("gap_mm", "Gap between parts", "mm", share(100)),
      field("edge_mm", "Free along the edges", "mm", share(500)),
      field("cut_length_mm", "Cut length", "mm", length(1e6), "All that is cut for one part."),
    ],
  },
  {
    title: "Money",
    fields: [
      field("currency", "Currency", "", null),
      field("laser_per_min", "Laser, a minute", "", MONEY),
      field("finishing_per_min", "Your time, a minute", "", MONEY),
      field("order_sheets", "Sheets in an order", "", { least: 1, most: 10_000, whole: true }),
    ],
  },
  {
    title: "Margin for the settings sheet",
    fields: [field("margin_pct", "Slower than the fastest speed found", "%", share(90))],
  },
];

/** What stands in the fields, as typed. */
export type FactDraft = Readonly<Partial<Record<keyof WorkshopFacts, string>>>;

export function factDraft(facts: WorkshopFacts): FactDraft {
  return Object.fromEntries(Object.entries(facts).map(([key, value]) => [key, String(value)]));
}

/** The facts in a draft, and what was expected by field; what is left empty is not known. */
export function factsOf(draft: FactDraft): {
  readonly facts: WorkshopFacts;
  readonly wrong: ReadonlyMap<string, string>;
} {
  const form = readForm();
  const facts: Record<string, string | number> = {};
  for (const { key, limits } of FACT_GROUPS.flatMap(({ fields }) => fields)) {
    const typed = draft[key] ?? "";
    const number = limits === MONEY ? withoutCurrency(typed) : typed;
    const value = limits === null ? form.text(typed) : form.number(key, number, limits);
    if (value !== undefined) facts[key] = value;
  }
  return { facts: facts as WorkshopFacts, wrong: form.wrong };
}
