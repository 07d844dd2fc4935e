import { describe, expect, it } from "vitest";
import { heatText } from "../../../station/conditions/heat-watch.js";
import { createMarginOutlook, marginText } from "../../../station/conditions/margin-forecast.js";

const SETPOINT = 2;
/** A value every 10 s of so many minutes. */
const watched = (minutes: number, margin: (minute: number) => number | null) => {
  const outlook = createMarginOutlook();
  for (let s = 0; s <= minutes * 60; s += 10) outlook.take(s * 1000, margin(s / 60));
  return outlook.forecast(SETPOINT);
};
/** A chiller's cycle of eight minutes, half a degree either way. */
const cycle = (minute: number) => 0.5 * Math.sin((2 * Math.PI * minute) / 8);

describe("when the condensation margin closes", () => {
  it("is when a steady fall has used it up", () => {
    const closing = watched(60, (minute) => 6 - minute / 20);
    expect(closing?.slopePerHour).toBeCloseTo(-3, 2);
    expect(Math.abs((closing?.closesInMin ?? 0) - 20)).toBeLessThan(1);
    expect(closing?.probability).toBeGreaterThan(0.9);
    expect(marginText(closing, SETPOINT)).toMatch(
      /^closing by 3\.0 °C an hour: reaches 2 °C in about (19|20) min \(\d+ to \d+ min\)$/,
    );
  });

  it("is not said of a margin that stays, or that opens", () => {
    for (const slope of [0, 1 / 20]) {
      const staying = watched(60, (minute) => 6 + slope * minute);
      expect(staying).toMatchObject({ closesInMin: null });
      expect(staying?.probability).toBeLessThan(0.01);
    }
    expect(
      marginText(
        watched(60, (minute) => 6 + minute / 20),
        SETPOINT,
      ),
    ).toBe("not closing");
  });

  it("does not take a chiller's cycle for a trend, and asks when its lowest points get there", () => {
    const cycling = watched(60, (minute) => 5 + cycle(minute));
    expect(cycling?.probability).toBeLessThan(0.1);
    const falling = watched(60, (minute) => 6 - minute / 30 + cycle(minute));
    expect(falling?.closesInMin).toBeLessThan(60);
    expect(falling?.closesInMin).toBeGreaterThan(30);
    expect(falling?.soonestMin).toBeLessThan(falling?.closesInMin ?? 0);
  });

  /** The water ran away by 7 °C in 6 minutes, came back within 20, and goes through its chiller's cycle since. */
  const cameBack = (minute: number) =>
    9.5 + cycle(minute) + Math.max(0, Math.min((minute - 9) / 6, (35 - minute) / 20)) * 7;

  it.each([
    ["", 99],
    [", where the probe was off meanwhile", 29],
  ] as const)("is not said of a fall that has ended%s", (_, goneFrom) => {
    for (let minute = 60; minute <= 100; minute += 1) {
      const ended = watched(minute, (at) => (at > goneFrom && at < 53 ? null : cameBack(at)));
      expect(ended?.probability ?? 0, `minute ${minute}`).toBeLessThan(0.5);
    }
  });

  it("is not known where less than ten of the last twenty minutes are", () => {
    const back = (minutes: number) =>
      watched(40 + minutes, (minute) => (minute > 20 && minute < 40 ? null : 6));
    expect(back(9)).toBeNull();
    expect(back(11)).not.toBeNull();
  });

  it("is worked out once for each margin and set value", () => {
    const outlook = createMarginOutlook();
    for (let s = 0; s <= 3600; s += 10) outlook.take(s * 1000, 6 - s / 1200);
    const first = outlook.forecast(SETPOINT);
    expect(outlook.forecast(SETPOINT)).toBe(first);
    expect(outlook.forecast(1)?.closesInMin).toBeGreaterThan(first?.closesInMin ?? 0);
    outlook.take(3_610_000, 2.5);
    expect(outlook.forecast(SETPOINT)?.closesInMin).toBeLessThan(first?.closesInMin ?? 0);
    outlook.take(3_620_000, null);
    expect(outlook.forecast(SETPOINT)).toBeNull();
  });

  it("is not known before twenty minutes, nor while a sensor is silent", () => {
    expect(watched(18, () => 6)).toBeNull();
    expect(watched(25, () => 6)).not.toBeNull();
    expect(watched(60, (minute) => (minute > 59 ? null : 6))).toBeNull();
    expect(marginText(null, SETPOINT)).toBeNull();
  });
});

describe("heat in words", () => {
  it("is rounded to what the sensors tell", () => {
    expect(heatText({ value: 417.4, sd: 84 })).toBe("420 W, give or take 170 W");
    expect(heatText({ value: 3, sd: 1 })).toBe("0 W, give or take 10 W");
    expect(heatText(null)).toBeNull();
  });
});
