import fc from "fast-check";
import { expect, test } from "vitest";
import { lineDiff } from "../../../station/setup/line-diff.js";

const text = fc.array(fc.constantFrom("a", "b", "c", ""), { maxLength: 12 });

test("all texts: what is not added is the earlier one, what is not removed the later one, and parts alternate", () => {
  fc.assert(
    fc.property(text, text, (before, after) => {
      const parts = lineDiff(before, after);
      const side = (without: string) =>
        parts.filter(({ what }) => what !== without).flatMap(({ lines }) => lines);
      expect(side("added")).toEqual(before);
      expect(side("removed")).toEqual(after);
      for (const [i, { what, lines }] of parts.entries()) {
        expect(lines.length).toBeGreaterThan(0);
        expect(parts[i + 1]?.what).not.toBe(what);
      }
    }),
  );
});

// T. H. Cormen and others, Introduction to Algorithms, section on the longest common subsequence: of ABCBDAB and BDCABA it has
// length 4.
test("the fewest lines change: a published example", () => {
  const parts = lineDiff([..."ABCBDAB"], [..."BDCABA"]);
  const same = parts.filter(({ what }) => what === "same").flatMap(({ lines }) => lines);
  expect(same).toHaveLength(4);
});
