import fc from "fast-check";
import { expect, it } from "vitest";
import { gradedTwice } from "../../../station/trials/plans/graded-twice.js";

interface Placed {
  code: string;
  block: number;
  place: number;
  replaces: string | null;
}

function laid(sizes: readonly number[]): Placed[] {
  return sizes.flatMap((size, i) =>
    Array.from({ length: size }, (_, place) => ({
      ...{ code: `${i + 1}-${place + 1}`, block: i + 1, place: place + 1, replaces: null },
    })),
  );
}

const blocks = fc.array(fc.integer({ min: 1, max: 8 }), { minLength: 1, maxLength: 12 });
const drawing = fc.record({
  second_share: fc.double({ min: 0, max: 1, noNaN: true }),
  seed: fc.integer({ min: 0, max: 2 ** 32 - 1 }),
});

it("draws the share of all that were planned, to the next whole one", () => {
  fc.assert(
    fc.property(blocks, drawing, (sizes, facts) => {
      const all = laid(sizes);
      const drawn = gradedTwice(all, facts);
      expect(Math.abs(drawn.size - facts.second_share * all.length)).toBeLessThan(1 + 1e-6);
      expect(drawn.size).toBeGreaterThanOrEqual(facts.second_share * all.length - 1e-6);
    }),
  );
});

it("keeps what was drawn when a search goes on by another round", () => {
  fc.assert(
    fc.property(blocks, drawing, (sizes, facts) => {
      const before = gradedTwice(laid(sizes.slice(0, -1)), facts);
      const after = gradedTwice(laid(sizes), facts);
      for (const code of before) expect(after).toContain(code);
      const added = [...after].filter((code) => !before.has(code));
      expect(added.every((code) => code.startsWith(`${sizes.length}-`))).toBe(true);
    }),
  );
});

it("takes what is cut in the place of another for that one, and draws nothing else anew", () => {
  const all = laid([6, 6, 6]);
  const facts = { second_share: 0.5, seed: 7 };
  const before = gradedTwice(all, facts);
  const [drawn = ""] = before;
  const left = all.find(({ code }) => !before.has(code))?.code ?? "";
  const again = [
    { code: "again", block: 1, place: 7, replaces: drawn },
    { code: "and again", block: 1, place: 8, replaces: "again" },
    { code: "other", block: 1, place: 9, replaces: left },
  ];
  expect(gradedTwice([...all, ...again], facts)).toEqual(new Set([...before, "again", "and again"]));
});
