import { describe, expect, it } from "vitest";
import { A4_LABELS, LABEL_SIZES, type LabelSize } from "../../../station/model/label.js";
import type { GivenGrade, SpecimenView } from "../../../station/model/specimen.js";
import { sheetFaults } from "../../../station/trials/labels/sheet.js";
import { otherScreens } from "../../../ui/src/grading/two-screens.js";
import { readSizes, typedSizes } from "../../../ui/src/trials/labels/typed-sizes.js";
import { needsOfBlock } from "../../../ui/src/trials/wall/needs-of-block.js";
import { lotFacts } from "../trials/plan-bench.js";

describe("what a block takes", () => {
  const piece = (lot: string, spacer: number | undefined, state: SpecimenView["state"] = "waiting") =>
    ({
      lot,
      state,
      setting: { ...(spacer === undefined ? {} : { focus_spacer_mm: spacer }) },
    }) as SpecimenView;
  const plan = {
    lots: [
      { id: "a", number: 1, facts: lotFacts({ product: "Quayside" }) },
      { id: "b", number: 2, facts: lotFacts({ product: "Harbour" }) },
      { id: "c", number: 3, facts: lotFacts({ product: "Pier" }) },
    ],
    blocks: [
      { block: 1, checked: null, specimens: [piece("a", 7)] },
      {
        block: 2,
        checked: null,
        specimens: [
          piece("b", 6.75),
          piece("a", 7),
          piece("b", 6.75),
          piece("a", 7, "cut"),
          piece("c", undefined),
        ],
      },
    ],
  };

  it("is told for each lot with its own spacer, of the pieces that are still to be cut", () => {
    expect(needsOfBlock(plan, 2)).toEqual([
      { lot: "a", name: "L1 Quayside", pieces: 1, spacer: 7 },
      { lot: "b", name: "L2 Harbour", pieces: 2, spacer: 6.75 },
      { lot: "c", name: "L3 Pier", pieces: 1, spacer: null },
    ]);
    expect(needsOfBlock(plan, 1).map(({ lot }) => lot)).toEqual(["a"]);
    expect(needsOfBlock(plan, 3)).toEqual([]);
  });
});

describe("a grade that two screens gave", () => {
  const given = (before: GivenGrade["before"]): GivenGrade => ({ value: 1, wall: 100, by: "phone", before });

  it("is told with the last word of the other one", () => {
    const other = { value: 2, wall: 150, by: "tablet" };
    expect(otherScreens(given([other, { value: 0, wall: 50, by: "tablet" }]))).toBe(other);
    // Between them this one had changed its own.
    expect(otherScreens(given([{ value: 3, wall: 90, by: "phone" }, other]))).toBe(other);
  });

  it("is not told where one screen changed its own, both said the same, or the other took its own back", () => {
    expect(otherScreens(given([]))).toBeNull();
    expect(otherScreens(given([{ value: 3, wall: 90, by: "phone" }]))).toBeNull();
    expect(otherScreens(given([{ value: 1, wall: 150, by: "tablet" }]))).toBeNull();
    expect(otherScreens(given([{ value: null, wall: 150, by: "tablet" }]))).toBeNull();
  });
});

describe("sizes of labels as typed", () => {
  const a4 = typedSizes(A4_LABELS);

  it("are read with a comma or a point, and each wrong one is named", () => {
    expect(readSizes({ ...a4, gapXMm: "2,5" }, "4")).toEqual({
      read: { sizes: { ...A4_LABELS, gapXMm: 2.5 }, used: 4 },
      wrong: new Map(),
    });
    const { read, wrong } = readSizes({ ...a4, columns: "1.5", labelWidthMm: "", topMm: "-1" }, "some");
    expect(read).toBeNull();
    expect(Object.fromEntries(wrong)).toEqual({
      columns: "a whole number from 1 to 100",
      labelWidthMm: "a number above 0, at most 2000",
      topMm: "a number from 0 to 2000",
      used: "a whole number from 0 to 9999",
    });
  });

  it.each(Object.keys(LABEL_SIZES) as LabelSize[])("refuse %s where the station finds it unfit", (size) => {
    for (const value of [-1, 0, 0.5, 1, 1.5, 100, 101, 2000, 2001]) {
      const { read } = readSizes({ ...a4, [size]: String(value) }, "0");
      const single = { ...A4_LABELS, [size]: value };
      // Labels that reach beyond the sheet are no fault of one field.
      const faults = sheetFaults(single).filter((fault) => !/reach/.test(fault));
      if (["topMm", "leftMm", "gapXMm", "gapYMm"].includes(size) && value > 2000) continue;
      expect([size, value, read === null]).toEqual([size, value, faults.length > 0]);
    }
  });
});
