import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { A4_LABELS, type LabelSheet, rollLabels } from "../../../../station/model/label.js";
import { layLabels, sheetFaults } from "../../../../station/trials/labels/sheet.js";

const codes = (count: number) => Array.from({ length: count }, (_, i) => `C${i}`);
const sheets = fc.record({
  widthMm: fc.constant(210),
  heightMm: fc.constant(297),
  topMm: fc.integer({ min: 0, max: 20 }),
  leftMm: fc.integer({ min: 0, max: 20 }),
  columns: fc.integer({ min: 1, max: 4 }),
  rows: fc.integer({ min: 1, max: 8 }),
  labelWidthMm: fc.integer({ min: 10, max: 40 }),
  labelHeightMm: fc.integer({ min: 5, max: 30 }),
  gapXMm: fc.integer({ min: 0, max: 5 }),
  gapYMm: fc.integer({ min: 0, max: 4 }),
});

describe("labels on a sheet", () => {
  it("go row by row, and on to the next sheet", () => {
    const pages = layLabels(codes(22), A4_LABELS);
    expect(pages.map((page) => page.length)).toEqual([21, 1]);
    expect(pages[0]?.[0]).toEqual({ xMm: 10, yMm: 12, widthMm: 60, heightMm: 36, code: "C0" });
    expect(pages[0]?.[1]).toMatchObject({ xMm: 75, yMm: 12 });
    expect(pages[0]?.[3]).toMatchObject({ xMm: 10, yMm: 51, code: "C3" });
    expect(pages[1]?.[0]).toMatchObject({ xMm: 10, yMm: 12, code: "C21" });
  });

  it("begin where the sheet is not used yet", () => {
    const pages = layLabels(codes(3), A4_LABELS, 19);
    expect(pages.map((page) => page.map(({ code }) => code))).toEqual([["C0", "C1"], ["C2"]]);
    expect(pages[0]?.[0]).toMatchObject({ xMm: 75, yMm: 12 + 6 * 39 });
    expect(() => layLabels(codes(1), A4_LABELS, 21)).toThrow(/0 to 20/);
    expect(() => layLabels(codes(1), A4_LABELS, 0.5)).toThrow(/0 to 20/);
  });

  it("come one after another from a roll", () => {
    const pages = layLabels(codes(2), rollLabels(62, 29));
    const place = { xMm: 0, yMm: 0, widthMm: 62, heightMm: 29 };
    expect(pages).toEqual([[{ ...place, code: "C0" }], [{ ...place, code: "C1" }]]);
    expect(layLabels([], rollLabels(62, 29))).toEqual([]);
  });

  it("on any sheet: each once, in order, on the sheet, and none over another", () => {
    fc.assert(
      fc.property(sheets, fc.nat(60), fc.nat(31), (sheet, count, start) => {
        expect(sheetFaults(sheet)).toEqual([]);
        const pages = layLabels(codes(count), sheet, start % (sheet.columns * sheet.rows));
        expect(pages.flat().map(({ code }) => code)).toEqual(codes(count));
        for (const page of pages) {
          for (const [i, one] of page.entries()) {
            expect(one.xMm + one.widthMm).toBeLessThanOrEqual(sheet.widthMm);
            expect(one.yMm + one.heightMm).toBeLessThanOrEqual(sheet.heightMm);
            for (const other of page.slice(0, i)) {
              const beside = Math.abs(one.xMm - other.xMm) >= sheet.labelWidthMm;
              expect(beside || Math.abs(one.yMm - other.yMm) >= sheet.labelHeightMm).toBe(true);
            }
          }
        }
      }),
    );
  });

  it.each<[Partial<LabelSheet>, RegExp]>([
    [{ columns: 4 }, /reach 265 mm across, and the sheet is 210 mm wide/],
    [{ rows: 8 }, /reach 321 mm down, and the sheet is 297 mm high/],
    [{ columns: 0 }, /1 to 100 columns/],
    [{ rows: 1.5 }, /1 to 100 rows/],
    [{ labelWidthMm: Number.NaN }, /label's width/],
    [{ topMm: -1 }, /upper margin/],
    [{ gapXMm: -1 }, /gap/],
  ])("a sheet that cannot be is refused in words: %j", (change, words) => {
    const sheet = { ...A4_LABELS, ...change };
    expect(sheetFaults(sheet).join(" ")).toMatch(words);
    expect(() => layLabels(codes(1), sheet)).toThrow(words);
  });
});
