import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { createRandom, normal, xoshiro128starstar } from "../../../station/random.js";

describe("the seeded random numbers", () => {
  test("are those of xoshiro128**", () => {
    // Source: test vector of the rand_xoshiro crate (rust-random/rngs, rand_xoshiro/src/xoshiro128starstar.rs), which says it
    // comes from the authors' reference program, version 1.1. Read there, state 1, 2, 3, 4.
    const expected = [
      11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597, 4258142804,
    ];
    const next = xoshiro128starstar([1, 2, 3, 4]);
    expect(expected.map(() => next())).toEqual(expected);
  });

  test("lie in [0, 1) and repeat with the key", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 4_294_967_295 }), { maxLength: 4 }), (key) => {
        const first = createRandom(...key);
        const second = createRandom(...key);
        for (let i = 0; i < 20; i += 1) {
          const value = first();
          expect(value).toBeGreaterThanOrEqual(0);
          expect(value).toBeLessThan(1);
          expect(second()).toBe(value);
        }
      }),
    );
  });

  test("differ between neighbouring keys and between the order of their parts", () => {
    const starts = [[1], [2], [1, 0], [1, 1], [1, 2], [2, 1]].map((key) => createRandom(...key)());
    expect(new Set(starts).size).toBe(starts.length);
  });

  test("make normal deviates of mean 0 and standard deviation 1", () => {
    const random = createRandom(7);
    const n = 20_000;
    const draws = Array.from({ length: n }, () => normal(random));
    const mean = draws.reduce((sum, x) => sum + x, 0) / n;
    const variance = draws.reduce((sum, x) => sum + (x - mean) ** 2, 0) / (n - 1);
    // Four standard errors: 1/√n for the mean, √(2/n) for the variance; 4.55 % lie beyond two standard deviations.
    expect(Math.abs(mean)).toBeLessThan(4 / Math.sqrt(n));
    expect(Math.abs(variance - 1)).toBeLessThan(4 * Math.sqrt(2 / n));
    const beyondTwo = draws.filter((x) => Math.abs(x) > 2).length / n;
    expect(Math.abs(beyondTwo - 0.0455)).toBeLessThan(4 * Math.sqrt((0.0455 * 0.9545) / n));
  });

  test("make normal deviates that are finite at the edges of the uniform ones", () => {
    expect(normal(() => 0)).toBeCloseTo(0, 12);
    expect(Math.abs(normal(() => 1 - 2 ** -32))).toBeLessThan(6.7);
  });
});
