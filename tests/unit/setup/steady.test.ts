import { describe, expect, test } from "vitest";
import { type SaidAt, steadiness } from "../../../station/setup/steady.js";

const STEP = 0.0625;
const every2s = (value: (s: number) => number, seconds = 120): SaidAt[] =>
  Array.from({ length: seconds / 2 + 1 }, (_, i) => ({ mono: i * 2000, value: value(i * 2) }));
const stepped = (value: number) => Math.round(value / STEP) * STEP;

describe("a probe in its bath", () => {
  test("that rests is taken, with its mean and scatter", () => {
    const told = steadiness(
      every2s((s) => (s % 4 === 0 ? 0.25 : 0.3125)),
      120_000,
      STEP,
    );
    if (!told.steady) throw new Error("expected it to be steady");
    expect(told.readings.mean).toBeCloseTo(0.281, 2);
    expect(told.readings.sd).toBeCloseTo(STEP / 2, 2);
    expect(told.readings.count).toBe(30);
    expect(told.readings.resolution).toBe(STEP);
  });

  // A first-order probe of 10 s in a bath it was put into at 20 °C: after 30 s it still falls by 1 °C a minute and more.
  test("that still falls to it is waited for, and taken once it has come", () => {
    const falling = every2s((s) => stepped(20 * Math.exp(-s / 10)), 200);
    const upTo = (s: number) => falling.filter(({ mono }) => mono <= s * 1000);
    expect(steadiness(upTo(80), 80_000, STEP)).toMatchObject({ steady: false, why: "moving" });
    expect(steadiness(upTo(160), 160_000, STEP)).toMatchObject({ steady: true });
  });

  test("that has not been there for a minute says how long it will be", () => {
    const short = every2s(() => 0.25, 20);
    expect(steadiness(short, 20_000, STEP)).toEqual({ steady: false, why: "too-few", secondsToGo: 40 });
    expect(steadiness([], 0, STEP)).toEqual({ steady: false, why: "too-few", secondsToGo: 60 });
    // One that was pulled out and said nothing for half of the minute.
    const torn = every2s(() => 0.25).filter(({ mono }) => mono < 60_000 || mono > 100_000);
    expect(steadiness(torn, 120_000, STEP)).toMatchObject({ steady: false, why: "too-few" });
  });

  test("one reading that jumps does not count as moving", () => {
    expect(
      steadiness(
        every2s((s) => (s === 90 ? 0.75 : 0.25)),
        120_000,
        STEP,
      ),
    ).toMatchObject({ steady: true });
  });
});
