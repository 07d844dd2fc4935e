import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isBeyond, isHeld, sideOf } from "../../../station/alarms/compare.js";
import { againstSetpoint, duration } from "../../../station/alarms/wording.js";
import { ALARM_KINDS } from "../../../station/model/alarm.js";

describe("comparing with a setpoint", () => {
  it.each([
    ["high", 22.1, true],
    ["high", 22, false],
    ["high", 21.9, false],
    ["low", 21.9, true],
    ["low", 22, false],
    ["low", 22.1, false],
  ] as const)("%s: %d against 22 is beyond: %s", (side, value, beyond) => {
    expect(isBeyond(side, value, 22)).toBe(beyond);
  });

  it.each([
    ["high", 21.81, true],
    ["high", 21.8, false],
    ["low", 22.19, true],
    ["low", 22.2, false],
  ] as const)("%s: %d holds a standing alarm at 22 with a deadband of 0.2: %s", (side, value, held) => {
    expect(isHeld(side, value, 22, 0.2)).toBe(held);
  });

  it("holds whatever is beyond, and with no deadband nothing else", () => {
    const number = fc.double({ min: -1000, max: 1000, noNaN: true });
    fc.assert(
      fc.property(
        fc.constantFrom("high" as const, "low" as const),
        number,
        number,
        fc.double({ min: 0, max: 50, noNaN: true }),
        (side, value, setpoint, deadband) => {
          if (isBeyond(side, value, setpoint)) expect(isHeld(side, value, setpoint, deadband)).toBe(true);
          expect(isHeld(side, value, setpoint, 0)).toBe(isBeyond(side, value, setpoint));
        },
      ),
    );
  });

  it("knows a side for exactly the kinds that compare a number", () => {
    expect(ALARM_KINDS.filter((kind) => sideOf(kind) !== null)).toEqual([
      "filter-loaded",
      "coolant-high",
      "coolant-low",
      "coolant-rising",
      "coolant-flow-lost",
      "coolant-heat-no-flow",
      "condensation-risk",
      "disk-nearly-full",
      "disk-filling",
      "backup-old",
    ]);
  });
});

describe("wording", () => {
  it("never lets a value beyond its setpoint read as equal to it", () => {
    expect(againstSetpoint("high", 23.4, 22, true, "°C")).toBe("23.4 °C, above 22.0 °C");
    expect(againstSetpoint("high", 22.04, 22, true, "°C")).toBe("22.04 °C, above 22.00 °C");
    expect(againstSetpoint("low", 1.9996, 2, true, "°C")).toBe("2.0 °C, just below 2.0 °C");
    expect(againstSetpoint("low", 18, 18, false, "°C")).toBe("18.0 °C, not below 18.0 °C");
  });

  it("rounds a length of time down", () => {
    expect([0, 12_900, 119_999, 120_000, 7_199_000, 7_200_000].map(duration)).toEqual([
      "0 s",
      "12 s",
      "119 s",
      "2 min",
      "119 min",
      "2 h",
    ]);
  });
});
