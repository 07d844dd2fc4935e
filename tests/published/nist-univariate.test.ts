import { readFileSync } from "node:fs";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { closeWindow, openWindow, takeSample } from "../../station/conditions/window-statistics.js";
import { createReads, type Reads } from "../../station/journal/reads.js";
import type { Series } from "../../station/model/now.js";
import { type Bench, channel, reading, seal, WALL, writerBench } from "../unit/journal/samples.js";

/**
 * Source: NIST, Statistical Reference Datasets, "Univariate Summary Statistics", certified mean and standard deviation;
 * data/nist/README.md says where the files were taken from. Agreement is measured as NIST does, by the log relative
 * error: -log10(|given - certified| / |certified|), the number of digits that are right; 15 is all of a double.
 *
 * The digits asked for: what the data themselves carry into a double. In NumAcc4 a value is 10000000.1 with a spacing of
 * doubles of 1.9e-9, and its standard deviation is 0.1, so that nobody gets more than 8 digits of that.
 */
const SETS = [
  { name: "Michelso", resolution: 0.01, sdDigits: 12 },
  { name: "Mavro", resolution: 0.00001, sdDigits: 11 },
  { name: "Lew", resolution: 1, sdDigits: 14 },
  { name: "Lottery", resolution: 1, sdDigits: 14 },
  { name: "NumAcc1", resolution: 1, sdDigits: 15 },
  { name: "NumAcc3", resolution: 0.1, sdDigits: 9 },
  { name: "NumAcc4", resolution: 0.1, sdDigits: 8 },
] as const;
const MEAN_DIGITS = 14;
/** The longest of the sets lies within the first ten minutes. */
const APART_MS = 500;

interface Certified {
  readonly mean: number;
  readonly sd: number;
  readonly values: readonly number[];
}

function certified(name: string): Certified {
  const text = readFileSync(new URL(`./data/nist/${name}.dat`, import.meta.url), "utf8");
  const figure = (label: RegExp) => Number(label.exec(text)?.[1]);
  const [, data = ""] = text.split(/^-{8,}$/m);
  const values = data.trim().split(/\s+/).map(Number);
  expect(values).toHaveLength(figure(/Number of Observations:\s+(\d+)/));
  return {
    mean: figure(/Sample Mean(?:\s+ybar)?:\s+(\S+)/),
    sd: figure(/Sample Standard Deviation.*?:\s+(\S+)/),
    values,
  };
}

/** Digits that are right, 15 at most. */
function digits(given: number, right: number): number {
  if (given === right) return 15;
  return Math.min(15, -Math.log10(Math.abs(given - right) / Math.abs(right)));
}

describe.each(SETS)("$name", ({ name, resolution, sdDigits }) => {
  const { mean, sd, values } = certified(name);
  const n = values.length;

  it("has its certified mean and standard deviation over a window", () => {
    const window = openWindow({ startMono: 0, staleAfterMs: 10_000 }, null);
    for (const [i, value] of values.entries()) {
      takeSample(window, { mono: i * APART_MS, value, quality: "good" });
    }
    const given = closeWindow(window, n * APART_MS, "Cel", 1);
    expect(digits(given.mean as number, mean)).toBeGreaterThanOrEqual(MEAN_DIGITS);
    // Certified is that of a sample (n - 1); a window's is divided by its length.
    const ofSample = (given.sd as number) * Math.sqrt(n / (n - 1));
    expect(digits(ofSample, sd)).toBeGreaterThanOrEqual(sdDigits);
    expect([given.min, given.max]).toEqual([Math.min(...values), Math.max(...values)]);
  });

  describe("in the journal", () => {
    let bench: Bench;
    let reads: Reads;
    beforeEach(() => {
      bench = writerBench();
      reads = createReads(bench.db);
      bench.put([], { name: "channelsDefined", params: [channel("set", { resolution }), channel("other")] });
      bench.put(values.map((value, i) => reading("set", i * APART_MS, value)));
      // Hours go by, so that those before are old enough to be sealed.
      for (let hour = 1; hour < 5; hour++) bench.put([reading("other", hour * 3_600_000)]);
    });
    afterEach(() => bench.remove());

    it.each([
      ["minutes", WALL, 600_000],
      ["quarters of an hour", WALL, 3_600_000],
      ["two hours", WALL - 3_600_000, 14_400_000],
      ["days", WALL - (WALL % 86_400_000), 86_400_000],
    ] as const)("has its certified mean from rollups of %s, rows and sealed", (_, from, width) => {
      for (const sealed of [false, true]) {
        if (sealed) seal(bench.db);
        const inBlocks = bench.db.prepare("SELECT coalesce(max(readings), 0) FROM block").pluck().get();
        expect(inBlocks).toBe(sealed ? n : 0);
        const series = reads.series({ channel: "set", from, to: from + width, buckets: 1 }) as Series;
        const [bucket] = series.buckets;
        expect(digits(bucket?.mean as number, mean)).toBeGreaterThanOrEqual(MEAN_DIGITS);
        expect([bucket?.min, bucket?.max]).toEqual([Math.min(...values), Math.max(...values)]);
      }
    });
  });
});
