import type { LotFacts, Stock } from "../../../../station/model/lot.js";
import type { Limits } from "../typed/limits.js";
import { NOTHING_TYPED, readForm, type TypedList, withoutCurrency } from "../typed/numbers.js";

const TEXTS = ["product", "supplier", "received_on", "storage", "note"] as const;
const thickness: Limits = { above: 0, most: 100 };
const side: Limits = { above: 0, most: 10_000 };
const money: Limits = { least: 0, most: 1e6 };
const count: Limits = { least: 1, most: 10_000, whole: true };
const MOST_POINTS = 40;
const LIMITS = {
  nominal_mm: thickness,
  sheet_length_mm: side,
  sheet_width_mm: side,
  piece_g: { above: 0, most: 1e6 },
  piece_length_mm: side,
  piece_width_mm: side,
  sheet_price: money,
  delivery: money,
  sheets: count,
  minimum_order: count,
} as const satisfies Partial<Record<keyof LotFacts, Limits>>;
type LotNumber = keyof typeof LIMITS;
export const LOT_NUMBERS = Object.keys(LIMITS) as LotNumber[];

export type LotTyped = (typeof TEXTS)[number] | LotNumber;

/** What stands in the fields, as typed. */
export interface LotDraft {
  readonly stock: Stock | "";
  readonly thickness_mm: TypedList;
  readonly typed: Readonly<Record<LotTyped, string>>;
}

const EMPTY = Object.fromEntries([...TEXTS, ...LOT_NUMBERS].map((key) => [key, ""])) as Record<
  LotTyped,
  string
>;

export const EMPTY_LOT: LotDraft = { stock: "", thickness_mm: NOTHING_TYPED, typed: EMPTY };

export function lotDraftOf(facts: LotFacts): LotDraft {
  const typed = { ...EMPTY };
  for (const key of [...TEXTS, ...LOT_NUMBERS]) if (facts[key] !== undefined) typed[key] = String(facts[key]);
  return { stock: facts.stock, thickness_mm: { taken: facts.thickness_mm ?? [], typing: "" }, typed };
}

/** What another lot of the same stock has in common with this one; nothing that has to be measured or paid anew. */
export function anotherLotOf(facts: LotFacts): LotDraft {
  const { product, stock, supplier, nominal_mm, sheet_length_mm, sheet_width_mm, storage } = facts;
  const same = { product, stock, supplier, nominal_mm, sheet_length_mm, sheet_width_mm, storage };
  return lotDraftOf(same as LotFacts);
}

/** What is left empty is left out: it is not known. */
export function lotFactsOf(draft: LotDraft): { facts: LotFacts; wrong: ReadonlyMap<string, string> } {
  const form = readForm();
  const facts: Record<string, unknown> = {};
  const put = (key: string, value: unknown) => {
    if (value !== undefined) facts[key] = value;
  };
  for (const key of TEXTS) put(key, form.text(draft.typed[key]));
  for (const key of LOT_NUMBERS) {
    const typed = draft.typed[key];
    put(key, form.number(key, LIMITS[key] === money ? withoutCurrency(typed) : typed, LIMITS[key]));
  }
  const points = form.numbers("thickness_mm", draft.thickness_mm, thickness, MOST_POINTS);
  if (points.length > 0) facts.thickness_mm = points;
  if (draft.stock === "") form.wrong.set("stock", "what it is made of");
  else facts.stock = draft.stock;
  if (facts.product === undefined) form.wrong.set("product", "a name");
  if (facts.nominal_mm === undefined && !form.wrong.has("nominal_mm"))
    form.wrong.set("nominal_mm", "how thick it is sold, in mm");
  return { facts: facts as LotFacts, wrong: form.wrong };
}
