import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  closeWindow,
  copyWindow,
  excursion,
  openWindow,
  type Sample,
  takeSample,
} from "../../../station/conditions/window-statistics.js";

const good = (mono: number, value: number): Sample => ({ mono, value, quality: "good" });
const bad = (mono: number): Sample => ({ mono, value: null, quality: "bad" });
const spec = { startMono: 10_000, staleAfterMs: 5_000 };

describe("statistics of a window", () => {
  it("weights the mean by the time each value was in force", () => {
    const fold = openWindow(spec, good(9_000, 20));
    takeSample(fold, good(11_000, 22));
    takeSample(fold, good(14_000, 21));
    // 20 for 1 s, 22 for 3 s, 21 for 1 s.
    expect(closeWindow(fold, 15_000, "Cel", 0.8)).toEqual({
      unit: "Cel",
      known: true,
      min: 20,
      mean: (20 * 1 + 22 * 3 + 21 * 1) / 5,
      // Squared distances from the mean of 21.4, weighted: (1.96 * 1 + 0.36 * 3 + 0.16 * 1) / 5 = 0.64.
      sd: expect.closeTo(0.8, 12),
      max: 22,
      first: 20,
      last: 21,
      goodShare: 1,
      uncertainShare: 0,
      readings: 2,
    });
  });

  it("covers a window shorter than the sensor's interval with the value that was in force", () => {
    const fold = openWindow(spec, good(9_500, 19.5));
    const statistics = closeWindow(fold, 11_000, "Cel", 0.8);
    expect(statistics).toMatchObject({
      known: true,
      min: 19.5,
      mean: 19.5,
      max: 19.5,
      readings: 0,
      goodShare: 1,
    });
  });

  it("lets a value stand no longer than it may", () => {
    const fold = openWindow(spec, good(9_000, 20));
    const statistics = closeWindow(fold, 20_000, "Cel", 0.3);
    expect(statistics.goodShare).toBeCloseTo(0.4, 12);
    expect(statistics.known).toBe(true);
  });

  it("gives no number at all where too little of the window has good data", () => {
    const fold = openWindow(spec, good(9_000, 20));
    takeSample(fold, bad(12_000));
    expect(closeWindow(fold, 20_000, "Cel", 0.8)).toEqual({
      unit: "Cel",
      known: false,
      min: null,
      mean: null,
      sd: null,
      max: null,
      first: null,
      last: null,
      goodShare: 0.2,
      uncertainShare: 0,
      readings: 1,
    });
  });

  it("counts uncertain values in the numbers but not in the good share", () => {
    const fold = openWindow(spec, { mono: 10_000, value: 30, quality: "uncertain" });
    takeSample(fold, good(12_000, 20));
    const statistics = closeWindow(fold, 14_000, "Cel", 0.5);
    expect(statistics).toMatchObject({ known: true, mean: 25, max: 30, goodShare: 0.5, uncertainShare: 0.5 });
  });

  it("knows nothing of a window of no length", () => {
    expect(closeWindow(openWindow(spec, good(9_000, 20)), 10_000, "Cel", 0)).toMatchObject({
      known: false,
      mean: null,
    });
  });

  it("leaves out what arrives in the millisecond of the end, and takes what arrives in that of the start as held", () => {
    const fold = openWindow(spec, good(9_000, 20));
    takeSample(fold, good(10_000, 21));
    takeSample(fold, good(12_000, 99));
    expect(closeWindow(fold, 12_000, "Cel", 0.8)).toMatchObject({ min: 21, max: 21, readings: 0 });
    expect(closeWindow(fold, 12_001, "Cel", 0.8)).toMatchObject({ max: 99, readings: 1 });
  });

  it("sees a spike that was replaced in the same millisecond", () => {
    const fold = openWindow(spec, good(9_000, 20));
    takeSample(fold, good(11_000, 80));
    takeSample(fold, good(11_000, 20));
    expect(closeWindow(fold, 12_000, "Cel", 0.8)).toMatchObject({ max: 80, mean: 20, readings: 2 });
  });

  it("tells how far and for how long the value was outside its range", () => {
    const fold = openWindow({ ...spec, range: { low: 18, high: 22 } }, good(10_000, 21));
    takeSample(fold, good(12_000, 22.5));
    takeSample(fold, good(15_000, 23.25));
    takeSample(fold, good(16_000, 17));
    takeSample(fold, good(18_000, 20));
    expect(excursion(fold, 19_000)).toEqual({ lowest: 17, belowMs: 2_000, highest: 23.25, aboveMs: 4_000 });
  });

  it("does not call the bounds of the range outside", () => {
    const fold = openWindow({ ...spec, range: { low: 18, high: 22 } }, good(10_000, 22));
    takeSample(fold, good(12_000, 18));
    expect(excursion(fold, 14_000)).toEqual({ lowest: null, belowMs: 0, highest: null, aboveMs: 0 });
  });

  const samples = fc.array(
    fc.record({
      gap: fc.integer({ min: 0, max: 4_000 }),
      value: fc.option(fc.integer({ min: -50, max: 50 }), { nil: null }),
      doubt: fc.boolean(),
    }),
    { maxLength: 40 },
  );
  const placed = (
    from: number,
    rows: readonly { gap: number; value: number | null; doubt: boolean }[],
  ): Sample[] => {
    let mono = from;
    return rows.map(({ gap, value, doubt }) => {
      mono += gap;
      return { mono, value, quality: value === null ? "bad" : doubt ? "uncertain" : "good" };
    });
  };

  it("agrees with a plain reckoning millisecond by millisecond", () => {
    fc.assert(
      fc.property(samples, fc.integer({ min: 1, max: 60 }), (rows, hundreds) => {
        const all = placed(
          9_000,
          rows.map((row) => ({ ...row, gap: Math.floor(row.gap / 100) * 100 })),
        );
        const end = 10_000 + hundreds * 100;
        const fold = openWindow(spec, null);
        for (const sample of all) takeSample(fold, sample);
        // Time is cut into steps of 100 ms, all that can happen here; each step is looked up in the list of samples.
        const steps: number[] = [];
        let goodMs = 0;
        for (let mono = 10_000; mono < end; mono += 100) {
          const held = all.filter((sample) => sample.mono <= mono).at(-1);
          if (held === undefined || held.value === null || mono - held.mono >= spec.staleAfterMs) continue;
          steps.push(held.value);
          if (held.quality === "good") goodMs += 100;
        }
        const statistics = closeWindowAt(all, end);
        expect(statistics.goodShare).toBeCloseTo(goodMs / (end - 10_000), 12);
        expect(statistics.known).toBe(steps.length > 0);
        if (!statistics.known) return;
        const mean = steps.reduce((sum, value) => sum + value, 0) / steps.length;
        const squares = steps.reduce((sum, value) => sum + (value - mean) ** 2, 0);
        expect(statistics.mean).toBeCloseTo(mean, 9);
        expect(statistics.sd).toBeCloseTo(Math.sqrt(squares / steps.length), 9);
      }),
    );
  });

  const closeWindowAt = (all: readonly Sample[], end: number) => {
    const fold = openWindow(spec, null);
    for (const sample of all) if (sample.mono < end) takeSample(fold, sample);
    return closeWindow(fold, end, "Cel", 0);
  };

  it("gives the same whether it is closed at the end or had gone on and is closed from a copy", () => {
    fc.assert(
      fc.property(samples, fc.integer({ min: 0, max: 40 }), (rows, at) => {
        const all = placed(10_000, rows);
        const fold = openWindow(spec, good(9_900, 1));
        const cut = all[at]?.mono ?? 50_000;
        let copy = copyWindow(fold);
        for (const sample of all) {
          takeSample(fold, sample);
          if (sample.mono <= cut) copy = copyWindow(fold);
        }
        const early = openWindow(spec, good(9_900, 1));
        for (const sample of all) if (sample.mono < cut) takeSample(early, sample);
        expect(closeWindow(copy, cut, "Cel", 0)).toEqual(closeWindow(early, cut, "Cel", 0));
      }),
    );
  });
});
