import { describe, expect, it } from "vitest";
import type { CoolantTrend } from "../../../station/conditions/coolant-trend.js";
import { trendText } from "../../../station/conditions/trend-text.js";

const range = { low: 18, high: 22 };

describe("trendText", () => {
  const trend: CoolantTrend = {
    word: "rising",
    level: 20.4,
    slopePerMin: 0.2,
    slopeSe: 0.01,
    residualSd: 0.03,
    minutesInRange: 8.2,
    horizonMin: 60,
    place: "inside",
    cycle: null,
    n: 600,
    spanS: 600,
  };
  const cycle = { low: 19.4, high: 20.3, periodMin: 3 };
  it.each<[string, Partial<CoolantTrend>]>([
    ["rising 0.2 °C/min: leaves the range in about 8 min", {}],
    [
      "falling 0.05 °C/min: leaves the range in about 40 min",
      { word: "falling", slopePerMin: -0.05, minutesInRange: 40 },
    ],
    ["rising 1.0 °C/min: leaves the range within a minute", { slopePerMin: 1, minutesInRange: 0.4 }],
    ["steady", { word: "steady", slopePerMin: 0.001, minutesInRange: 60 }],
    ["cycling with the chiller, 19.4 to 20.3 °C", { word: "cycling", cycle, minutesInRange: 60 }],
    [
      "cycling with the chiller, 19.4 to 20.3 °C: leaves the range in about 2 min",
      { word: "cycling", cycle, minutesInRange: 2 },
    ],
    ["below the range of 18 to 22 °C, steady", { word: "steady", place: "below", minutesInRange: 0 }],
  ])("says: %s", (text, change) => {
    expect(trendText({ ...trend, ...change }, range)).toBe(text);
  });
});
