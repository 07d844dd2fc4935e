import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { exactOddsRatio, type Table } from "../../station/review/exact-table.js";

function table(firstHits: number, firstMisses: number, secondHits: number, secondMisses: number): Table {
  return { firstHits, firstMisses, secondHits, secondMisses };
}

/** R's rows are hits and misses of one lot; the odds there are of the first over the second. */
const turned = ([a, b, c, d]: readonly [number, number, number, number]): Table => table(c, d, a, b);

/** Of the first count, by adding up R. A. Fisher's noncentral distribution as it is written. */
function tailsOf([a, b, c, d]: readonly [number, number, number, number]) {
  const chances = (odds: number) =>
    Array.from({ length: Math.min(a + b, a + c) + 1 }, (_, k) =>
      k < a - d ? 0 : choose(a + b, k) * choose(c + d, a + c - k) * odds ** k,
    );
  const share = (odds: number, of: (k: number) => boolean) => {
    const all = chances(odds);
    const sum = (values: readonly number[]) => values.reduce((total, each) => total + each, 0);
    return sum(all.filter((_, k) => of(k))) / sum(all);
  };
  return {
    atLeast: (odds: number) => share(odds, (k) => k >= a),
    atMost: (odds: number) => share(odds, (k) => k <= a),
  };
}

function choose(n: number, k: number): number {
  let ways = 1;
  for (let i = 1; i <= k; i++) ways = (ways * (n - k + i)) / i;
  return ways;
}

describe("Fisher's exact test", () => {
  /**
   * Two-sided as the sum of the tables that are no more probable; the second is the lady tasting tea, 17/35 (R. A. Fisher, The Design
   * of Experiments, 1935). Computed with R 4.2.2 (fisher.test, whose estimate is the conditional one) and as exact rationals.
   */
  it.each([
    [[8, 2, 1, 5], 5 / 143, 15.4696874628869, 1.00884938039662, 1049.79144613175],
    [[3, 1, 1, 3], 17 / 35, 6.40830886700579, 0.211732915305503, 621.933750545417],
    [[10, 2, 3, 15], 3571 / 6653325, 21.3053312750167, 2.75343836564203, 300.682787419398],
  ] as const)("of %j has its p, estimate and limits", (counts, p, estimate, lower, upper) => {
    const found = exactOddsRatio([turned(counts)]);
    expect(found.p).toBeCloseTo(p, 12);
    // R's search stops at 0.00012 of 1/odds, which at the upper limits is one in a hundred.
    expect((found.estimate ?? 0) / estimate).toBeCloseTo(1, 3);
    expect((found.lower ?? 0) / lower).toBeCloseTo(1, 3);
    expect(Math.abs((found.upper ?? 0) / upper - 1)).toBeLessThan(0.02);
    // What the limits stand for holds to the last digits.
    const { atLeast, atMost } = tailsOf(counts);
    expect(atLeast(found.lower ?? 0)).toBeCloseTo(0.025, 9);
    expect(atMost(found.upper ?? 0)).toBeCloseTo(0.025, 9);
  });

  it("counts half of the chance of what was seen for the mid-p", () => {
    // Of the tea table: 16/70 is the chance of three right, and 17/35 − 8/70 is left.
    expect(exactOddsRatio([table(1, 3, 3, 1)]).midP).toBeCloseTo(17 / 35 - 8 / 70, 12);
  });
});

describe("the exact common odds over blocks", () => {
  /**
   * Penicillin and rabbits, N. Mantel, "Chi-square tests with one degree of freedom", JASA 58, 1963, as in R's help of
   * `mantelhaen.test`: five levels, cured or died, at once or 1.5 hours late. The exact conditional test there has p = 0.03994 and
   * the common odds 10.36102 (from memory). Three of the levels tell something: of 16 cured or fewer there are, by multiplying
   * them out, 24300 and 1800 ways in 1306800 to have 16 and 17.
   */
  it("of Mantel's rabbits are R's exact conditional ones", () => {
    const levels = [
      [0, 0, 6, 5],
      [3, 0, 3, 6],
      [6, 2, 0, 4],
      [5, 6, 1, 0],
      [2, 5, 0, 0],
    ].map(([a = 0, b = 0, c = 0, d = 0]) => table(b, d, a, c));
    const found = exactOddsRatio(levels);
    expect(found.p).toBeCloseTo((2 * (24300 + 1800)) / 1306800, 12);
    expect(found.p).toBeCloseTo(0.03994, 5);
    expect(found.estimate).toBeCloseTo(10.36102, 4);
    const ways = [1800, 24300, 122400, 302400, 405000, 302400, 122400, 24300, 1800];
    const share = (odds: number, of: (k: number) => boolean) => {
      const all = ways.map((each, k) => each * odds ** k);
      const sum = (values: readonly number[]) => values.reduce((total, each) => total + each, 0);
      return sum(all.filter((_, k) => of(k))) / sum(all);
    };
    expect(share(found.lower ?? 0, (k) => k >= 7)).toBeCloseTo(0.025, 9);
    expect(share(found.upper ?? 0, (k) => k <= 7)).toBeCloseTo(0.025, 9);
  });

  it("tells nothing where every block had one outcome, or one lot, and says so", () => {
    const found = exactOddsRatio([table(3, 0, 4, 0), table(0, 0, 2, 1)]);
    expect(found).toMatchObject({ estimate: null, p: null, n: 10 });
    expect(found.warnings[0]).toMatch(/^In no block/);
    expect(exactOddsRatio([])).toMatchObject({ estimate: null, n: 0 });
  });

  it("has one open limit where one lot had every hit", () => {
    expect(exactOddsRatio([table(0, 4, 4, 0)])).toMatchObject({
      estimate: Number.POSITIVE_INFINITY,
      upper: Number.POSITIVE_INFINITY,
    });
    expect(exactOddsRatio([table(4, 0, 0, 4)])).toMatchObject({ estimate: 0, lower: 0 });
  });

  it("refuses what are no counts", () => {
    expect(() => exactOddsRatio([table(1.5, 0, 0, 1)])).toThrow(RangeError);
    expect(() => exactOddsRatio([table(-1, 0, 0, 1)])).toThrow(RangeError);
    expect(() => exactOddsRatio([], 1)).toThrow(RangeError);
  });

  const count = fc.integer({ min: 0, max: 6 });
  const tables = fc.array(fc.tuple(count, count, count, count), { minLength: 1, maxLength: 4 });

  it("are turned round with the lots, and with the outcomes, and do not go by the order of the blocks", () => {
    fc.assert(
      fc.property(tables, (all) => {
        const found = exactOddsRatio(all.map(([a, b, c, d]) => table(a, b, c, d)));
        const others = [
          exactOddsRatio(all.map(([a, b, c, d]) => table(c, d, a, b))),
          exactOddsRatio(all.map(([a, b, c, d]) => table(b, a, d, c))),
        ];
        const same = exactOddsRatio([...all].reverse().map(([a, b, c, d]) => table(a, b, c, d)));
        expect(same.p ?? 2).toBeCloseTo(found.p ?? 2, 9);
        for (const other of others) {
          expect(other.p ?? 2).toBeCloseTo(found.p ?? 2, 9);
          if (found.estimate === null || found.estimate === 0 || !Number.isFinite(found.estimate)) continue;
          expect((other.estimate ?? 0) * found.estimate).toBeCloseTo(1, 6);
          expect(found.lower).toBeLessThanOrEqual(found.estimate);
          expect(found.upper).toBeGreaterThanOrEqual(found.estimate);
        }
      }),
    );
  });
});
