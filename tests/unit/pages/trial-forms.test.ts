import { describe, expect, it } from "vitest";
import type { z } from "zod";
import { lotFactsSchema } from "../../../station/model/lot-schema.js";
import { planFactsSchema } from "../../../station/model/plan-schema.js";
import { workshopFactsSchema } from "../../../station/model/workshop.js";
import {
  anotherLotOf,
  EMPTY_LOT,
  LOT_NUMBERS,
  type LotDraft,
  lotDraftOf,
  lotFactsOf,
} from "../../../ui/src/trials/lots/lot-draft.js";
import {
  emptyPlan,
  PLAN_LIMITS,
  type PlanDraft,
  type PlanTyped,
  planFactsOf,
  rungLimits,
} from "../../../ui/src/trials/make/plan-draft.js";
import { evenRungs, laidRungs } from "../../../ui/src/trials/make/rungs.js";
import type { Limits } from "../../../ui/src/trials/typed/limits.js";
import { FACT_GROUPS, factDraft, factsOf } from "../../../ui/src/workshop/fields.js";
import { LOTS, lotFacts } from "../trials/plan-bench.js";

/** Just inside and just outside of what a field says that it takes. */
function edges({ above, least, most, whole }: Limits): { fit: number[]; unfit: number[] } {
  const step = whole ? 1 : 0.001;
  return {
    fit: [...(above === undefined ? [] : [above + step]), ...(least === undefined ? [] : [least])].concat(
      most ?? [],
    ),
    unfit: [...(above === undefined ? [] : [above]), ...(least === undefined ? [] : [least - step])]
      .concat(most === undefined ? [] : [most + step])
      .concat(whole ? [(least ?? 1) + 0.5] : []),
  };
}

const fits = (schema: z.ZodType, facts: unknown) => schema.safeParse(facts).success;

describe("the form of a lot", () => {
  const draft = (changes: Partial<Record<string, string>>): LotDraft => ({
    ...lotDraftOf(lotFacts()),
    typed: { ...lotDraftOf(lotFacts()).typed, ...changes },
  });

  it("makes of an empty one no lot, and says all that it wants at once", () => {
    const { wrong } = lotFactsOf(EMPTY_LOT);
    expect([...wrong.keys()].sort()).toEqual(["nominal_mm", "product", "stock"]);
  });

  it("leaves out what is empty, and takes the points with what still stands in the field", () => {
    const { facts, wrong } = lotFactsOf({
      ...draft({ supplier: " ", sheet_price: "4,50" }),
      thickness_mm: { taken: [3.02], typing: "2,98" },
    });
    expect(wrong.size).toBe(0);
    expect(facts).toEqual({ ...lotFacts(), sheet_price: 4.5, thickness_mm: [3.02, 2.98] });
    expect(fits(lotFactsSchema, facts)).toBe(true);
  });

  it("comes back to the same facts from what it is filled with", () => {
    const facts = lotFacts({ thickness_mm: [3, 3.1], delivery: 12, note: "in the dry" });
    expect(lotFactsOf(lotDraftOf(facts)).facts).toEqual(facts);
  });

  it("takes over to another lot nothing that is measured or paid anew", () => {
    const { thickness_mm, typed } = anotherLotOf(
      lotFacts({ thickness_mm: [3], sheet_price: 4, delivery: 9, sheets: 5, supplier: "Quay Timber" }),
    );
    expect(thickness_mm.taken).toEqual([]);
    expect([typed.sheet_price, typed.delivery, typed.sheets, typed.supplier]).toEqual([
      "",
      "",
      "",
      "Quay Timber",
    ]);
  });

  it.each(LOT_NUMBERS)("refuses %s as the station does", (key) => {
    for (const value of [-1, 0, 0.5, 1, 1.5, 100, 100.1, 10_000, 10_001, 1e6, 1e6 + 1]) {
      const { facts, wrong } = lotFactsOf(draft({ [key]: String(value) }));
      expect([key, value, wrong.size === 0]).toEqual([key, value, fits(lotFactsSchema, facts)]);
    }
  });
});

describe("the form of a plan", () => {
  const ladder = (changes: Partial<Record<PlanTyped, string>> = {}, more: Partial<PlanDraft> = {}) => {
    const empty = emptyPlan(7);
    return {
      ...empty,
      lots: [...LOTS],
      rungs: { taken: [10, 12, 14], typing: "" },
      typed: { ...empty.typed, title: "Two boards", power_pct: "60", ...changes },
      ...more,
    };
  };
  const search = (changes: Partial<Record<PlanTyped, string>> = {}) =>
    ladder({ slowest_mm_s: "8", fastest_mm_s: "16", ...changes }, { method: "search" });
  const of = (draft: PlanDraft) => {
    const { facts, wrong } = planFactsOf(draft);
    return { wrong: Object.fromEntries(wrong), fits: fits(planFactsSchema, facts) };
  };

  it("makes a ladder and a search that the station takes", () => {
    expect(of(ladder())).toEqual({ wrong: {}, fits: true });
    expect(of(search())).toEqual({ wrong: {}, fits: true });
    const { facts } = planFactsOf(ladder({ second_share: "25" }, { spacers: { [LOTS[1]]: "6,75" } }));
    expect([facts.second_share, facts.spacers_mm, facts.power_pct]).toEqual([0.25, [null, 6.75], 60]);
    expect(facts).not.toHaveProperty("speed_mm_s");
  });

  it("says all that is wrong at once", () => {
    const { wrong } = of(
      ladder(
        { title: "", power_pct: "120", second_share: "101", count: "99" },
        { lots: [], properties: [], rungs: { taken: [], typing: "" } },
      ),
    );
    expect(wrong).toEqual({
      title: "what people call the plan",
      lots: "one lot, up to four",
      properties: "one property or more",
      rungs: "a speed or more",
      count: "a whole number from 1 to 20",
      power_pct: "a number above 0, at most 100",
      second_share: "a number from 0 to 100",
    });
  });

  it("refuses rungs that are given twice, and a search that would have nowhere to go", () => {
    expect(of(ladder({}, { rungs: { taken: [10, 10], typing: "" } }))).toEqual({
      wrong: { rungs: "a speed no more than once" },
      fits: false,
    });
    expect(of(search({ fastest_mm_s: "8" }))).toEqual({
      wrong: { fastest_mm_s: "a speed faster than the slowest" },
      fits: false,
    });
    const blindly = of({ ...search(), properties: ["back_fuzz"] });
    expect([Object.keys(blindly.wrong), blindly.fits]).toEqual([["properties"], false]);
  });

  it("has the same limits as the station", () => {
    const { count: _laid, speed_mm_s: _power, ...limits } = PLAN_LIMITS;
    // Its ends so far apart, and so near to naught, that they stand in no other field's way.
    const ends = { slowest_mm_s: "0.0005", fastest_mm_s: "2000" };
    for (const [key, its] of Object.entries(limits) as [PlanTyped, Limits][]) {
      const make = ["replicates", "power_pct", "passes", "second_share"].includes(key) ? ladder : search;
      const { fit, unfit } = edges(its);
      for (const value of [...fit, ...unfit]) {
        const { facts, wrong } = planFactsOf(make({ ...ends, [key]: String(value) }));
        const issues = planFactsSchema.safeParse(facts).error?.issues ?? [];
        const refused = issues.some(({ path }) => path.at(-1) === key);
        expect([key, value, wrong.has(key), refused]).toEqual([
          key,
          value,
          unfit.includes(value),
          unfit.includes(value),
        ]);
      }
    }
    for (const vary of ["speed", "power"] as const) {
      const { fit, unfit } = edges(rungLimits(vary));
      for (const value of [...fit, ...unfit]) {
        const { wrong, fits: taken } = of(
          ladder({ speed_mm_s: "10" }, { vary, rungs: { taken: [value], typing: "" } }),
        );
        expect([vary, value, Object.keys(wrong).length === 0, taken]).toEqual([
          vary,
          value,
          fit.includes(value),
          fit.includes(value),
        ]);
      }
    }
  });

  it("lays rungs evenly between two ends, both among them, up or down", () => {
    expect(evenRungs("8", "16", "5")).toEqual([8, 10, 12, 14, 16]);
    expect(evenRungs("16", "8", "3")).toEqual([16, 12, 8]);
    expect(evenRungs("10", "11", "4")).toEqual([10, 10.33, 10.67, 11]);
    expect(evenRungs("8,5", "16", "1")).toEqual([8.5]);
    // Closer than a hundredth they are the same.
    expect(evenRungs("10", "10.01", "5")).toEqual([10, 10.01]);
    for (const count of ["0", "21", "2.5", "", "many"]) expect(evenRungs("8", "16", count)).toEqual([]);
    expect(evenRungs("0", "16", "5")).toEqual([]);
    const before = { taken: [9], typing: "1" };
    expect(laidRungs("8", "", "5", before)).toBe(before);
    expect(laidRungs("8", "9", "2", before)).toEqual({ taken: [8, 9], typing: "" });
  });
});

describe("the form of the workshop", () => {
  const fields = FACT_GROUPS.flatMap((group) => group.fields);

  it("has a field for everything that the station keeps, each once", () => {
    expect(fields.map(({ key }) => key).sort()).toEqual(Object.keys(workshopFactsSchema.shape).sort());
  });

  it("comes back to the same facts, with what is empty left out", () => {
    const facts = { currency: "€", lens_focal_mm: 50.8, margin_pct: 10 };
    expect(factsOf({ ...factDraft(facts), m2: " " })).toEqual({ facts, wrong: new Map() });
  });

  it.each(fields.filter(({ limits }) => limits !== null))("has the station's limits of $key", (field) => {
    const { fit, unfit } = edges(field.limits ?? {});
    for (const value of [...fit, ...unfit]) {
      const { facts, wrong } = factsOf({ [field.key]: String(value) });
      expect([value, wrong.has(field.key), fits(workshopFactsSchema, facts)]).toEqual([
        value,
        !fit.includes(value),
        fit.includes(value),
      ]);
    }
  });
});
