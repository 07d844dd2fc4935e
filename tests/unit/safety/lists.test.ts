import { describe, expect, it } from "vitest";
import { CAUTIONS } from "../../../safety/cautions.js";
import { CHECKLISTS } from "../../../safety/checklists.js";
import { EXPOSURE_LIMITS } from "../../../safety/exposure.js";
import { NEVER_CUT_LIST } from "../../../safety/never-cut.js";
import { materialCautions } from "../../../safety/rules.js";
import { CHECKLIST_IDS } from "../../../station/model/caution.js";

describe("materials never to cut", () => {
  it.each(NEVER_CUT_LIST)("$materials: says what it gives off, and by whom", ({ givesOff, sources }) => {
    expect(givesOff.length).toBeGreaterThan(8);
    expect(sources.length).toBeGreaterThan(0);
  });

  // Whoever types one of the list on the job sheet is warned of it; the last row is what nobody has a name for.
  it.each([
    "PVC",
    "vinyl",
    "neoprene",
    "PVDC",
    "PTFE",
    "PVDF",
    "FEP",
    "PFA",
    "ABS",
    "nylon",
    "polyurethane",
    "polycarbonate",
    "epoxy with glass fibre",
    "carbon fibre",
    "circuit board",
    "treated timber",
    "foam",
    "polystyrene",
    "polyethylene",
    "polypropylene",
    "PETG",
  ])("%s is warned of on the job sheet as never to be cut", (typed) => {
    expect(materialCautions(typed)[0]?.seriousness).toBe(1);
    const names = NEVER_CUT_LIST.map(({ materials }) => materials.toLowerCase()).join("; ");
    expect(names).toContain(
      typed === "epoxy with glass fibre" ? "epoxy with glass" : typed.split(" ")[0]?.toLowerCase(),
    );
  });

  it.each(["chrome-tanned leather", "imitation leather", "something"])("%s is asked about", (typed) => {
    expect(materialCautions(typed)[0]?.id).toMatch(/^fume-(leather|unverified|unknown)$/);
  });
});

describe("limits of exposure", () => {
  it.each(EXPOSURE_LIMITS)("$substance, $whose, $averaging: a figure with edition or year", (limit) => {
    expect(limit.value).toBeGreaterThan(0);
    expect(limit.source.title).toMatch(/\b(19|20)\d\d\b|undated/);
    expect(limit.source.reviewed).toMatch(/^20\d\d-\d\d-\d\d$/);
    expect(limit.comesFrom.length).toBeGreaterThan(5);
  });

  it("stands once for each substance, body and time", () => {
    const keys = EXPOSURE_LIMITS.map(
      ({ substance, whose, averaging }) => `${substance} ${whose} ${averaging}`,
    );
    expect(new Set(keys).size).toBe(keys.length);
  });

  // A short time never has a lower limit than a long one.
  it("grows with a shorter time, by one body", () => {
    const rank = { "10 hours": 0, "8 hours": 0, "15 minutes": 1, "at no time above": 2 } as const;
    for (const one of EXPOSURE_LIMITS) {
      for (const other of EXPOSURE_LIMITS) {
        if (one.substance !== other.substance || one.whose !== other.whose) continue;
        if (rank[one.averaging] < rank[other.averaging]) expect(one.value).toBeLessThanOrEqual(other.value);
      }
    }
  });

  // 29 CFR 1910.1048 (c)(1) and (2); OSHA's sampling information for the other two; NIOSH's criteria document of 1972, abstract.
  it.each([
    ["Formaldehyde", "OSHA", "8 hours", 0.75],
    ["Formaldehyde", "OSHA", "15 minutes", 2],
    ["Methyl methacrylate", "OSHA", "8 hours", 100],
    ["Hydrogen chloride", "OSHA", "at no time above", 5],
    ["Carbon monoxide", "NIOSH", "8 hours", 35],
    ["Carbon monoxide", "NIOSH", "at no time above", 200],
    ["Hydrogen cyanide", "NIOSH", "15 minutes", 4.7],
  ])("%s by %s over %s is %d ppm, as read", (substance, body, averaging, value) => {
    const found = EXPOSURE_LIMITS.filter(
      (limit) => limit.substance === substance && limit.whose.includes(body) && limit.averaging === averaging,
    );
    expect(found.map((limit) => [limit.value, limit.unit, limit.source.fromMemory])).toEqual([
      [value, "ppm", false],
    ]);
  });

  it("says the same as the cautions that name one", () => {
    const british = (substance: string) =>
      EXPOSURE_LIMITS.find(
        (limit) =>
          limit.substance.startsWith(substance) &&
          limit.whose.includes("EH40") &&
          limit.averaging === "8 hours",
      );
    const { value, unit } = british("Formaldehyde") ?? { value: 0, unit: "" };
    expect(CAUTIONS["fume-board"].text).toContain(`${value} ${unit} (EH40, 2020)`);
    const dust = british("Wood dust, hardwood") ?? { value: 0, unit: "" };
    expect(CAUTIONS["fume-wood"].text).toContain(`${dust.value} ${dust.unit} over 8 hours (EH40, 2020)`);
  });
});

describe("check lists", () => {
  it.each(CHECKLIST_IDS)("%s has a few things, each named once and short", (id) => {
    const { items, title } = CHECKLISTS[id];
    expect(title).not.toBe("");
    expect(items.length).toBeGreaterThanOrEqual(5);
    expect(items.length).toBeLessThanOrEqual(8);
    expect(new Set(items.map((item) => item.id)).size).toBe(items.length);
    for (const { text } of items) {
      expect(text.length).toBeLessThanOrEqual(110);
      expect(text).toMatch(/\.$/);
      expect(text).not.toMatch(/\bsafe to\b|guarantee|\bno risk\b/i);
    }
  });
});
