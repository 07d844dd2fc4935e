import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createOldGroups } from "../../../station/journal/thinning/old-groups.js";

const EARLIEST = 5;

/** Which groups, by their place, are old before a moment; given by their last wall times in the order they were written. */
function oldOf(walls: readonly number[], before: number): number[] {
  const groups = createOldGroups<{ place: number; dated: number }>(EARLIEST);
  const found: number[] = [];
  for (const [place, dated] of walls.entries()) {
    const old = groups.take({ place, dated }, before);
    if (old === null) break;
    found.push(...old.map((group) => group.place));
  }
  return found;
}

describe("groups of readings that are old", () => {
  it.each<[string, readonly number[], readonly number[]]>([
    ["are those that one after them is older than the moment", [10, 20, 30, 40, 120], [0, 1, 2]],
    ["are none where the clock began long ago and has been set since", [0, 1, 2, 150, 160], []],
    ["are not one of a clock that was behind, before it is known how old", [10, 20, 0, 150], [0]],
    [
      "are such a one as well, once one after it is old and not dated back",
      [10, 20, 0, 1, 30, 150],
      [0, 1, 2, 3],
    ],
    ["are none behind one that is young", [10, 150, 20, 30], []],
    ["are none of one only", [10], []],
  ])("%s", (_words, walls, expected) => {
    expect(oldOf(walls, 100)).toEqual(expected);
  });

  it("are truly old, wherever the clock began long ago", () => {
    const someGroups = fc.array(fc.record({ after: fc.nat(30), behind: fc.boolean() }), { maxLength: 30 });
    fc.assert(
      fc.property(someGroups, fc.nat(400), (groups, before) => {
        let time = 0;
        const truth = groups.map(({ after }) => {
          time += 1 + after;
          return time;
        });
        const walls = groups.map(({ behind }, i) => (behind ? -1000 + i : (truth[i] as number)));
        for (const place of oldOf(walls, before)) expect(truth[place]).toBeLessThan(before);
      }),
    );
  });
});
