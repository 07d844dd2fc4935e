import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { STRETCH_ROWS } from "../../../station/journal/schema.js";
import { layOut, type Stretch } from "../../../station/journal/stretch.js";
import { columnsOf, reading } from "./samples.js";

function columns(count: number, firstMs = 0) {
  return columnsOf(Array.from({ length: count }, (_, i) => reading("coolant", firstMs + i)));
}

describe("laying readings over stretches", () => {
  it("carries the newest on, and gives back only what changed", () => {
    const [first] = layOut(null, 1, columns(10)) as [Stretch];
    const [longer, ...none] = layOut(first, 11, columns(5, 100));
    expect(none).toEqual([]);
    expect(longer).toEqual({
      ...first,
      last: 15,
      maxWall: first.minWall + 104,
      maxMono: first.minMono + 104,
    });
    expect(first.last).toBe(10);
  });

  it("begins a new one where other rows came between, and none for nothing", () => {
    const [first] = layOut(null, 1, columns(10)) as [Stretch];
    expect(layOut(first, 12, columns(1)).map(({ first: id }) => id)).toEqual([12]);
    expect(layOut(first, 11, columnsOf([]))).toEqual([]);
  });

  it("covers every row once, in order, with no stretch longer than it may be", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 2 * STRETCH_ROWS }), { maxLength: 5 }), (counts) => {
        const all = new Map<number, Stretch>();
        let newest: Stretch | null = null;
        let next = 1;
        for (const count of counts) {
          for (const touched of layOut(newest, next, columns(count))) {
            all.set(touched.first, touched);
            newest = touched;
          }
          next += count;
        }
        let covered = 0;
        for (const { first, last } of [...all.values()].sort((a, b) => a.first - b.first)) {
          expect(first).toBe(covered + 1);
          expect(last - first + 1).toBeLessThanOrEqual(STRETCH_ROWS);
          covered = last;
        }
        expect(covered).toBe(next - 1);
      }),
      { numRuns: 30 },
    );
  });
});
