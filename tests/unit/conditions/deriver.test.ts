import { describe, expect, it } from "vitest";
import { createDeriver, type DerivedValue, type Deriver } from "../../../station/conditions/deriver.js";
import {
  absoluteHumidity,
  condensationMargin,
  dewOrFrostPoint,
} from "../../../station/conditions/humid-air.js";
import { woodEquilibriumMoisture } from "../../../station/conditions/wood-moisture.js";
import { CONDITIONS } from "../../../station/model/quantity.js";
import type { Reading, Reason } from "../../../station/model/reading.js";
import { scene } from "./coolant-scenes.js";
import { channelsBut, channelsOf, good, instant, poor } from "./stock-channels.js";

const coolantRange = { low: 18, high: 22 };
const deriver = () => createDeriver({ definitions: channelsBut(), coolantRange });

function take(into: Deriver, readings: readonly Reading[]): DerivedValue[] {
  return readings.flatMap((reading) => into.take(reading));
}

function named(values: readonly DerivedValue[], condition: string): DerivedValue {
  const found = values.find((value) => value.condition === condition);
  if (found === undefined)
    throw new Error(`no ${condition} among ${values.map((value) => value.condition).join(", ")}`);
  return found;
}

const damp = [good("room-t", 1000, 25), good("room-rh", 1100, 80), good("coolant", 1200, 20)];

describe("what follows from a reading", () => {
  it("works out the air, the wood and the margin", () => {
    const station = deriver();
    take(station, damp);
    const values = station.current();
    expect(named(values, "dew-point").value).toBe(dewOrFrostPoint(25, 80).tC);
    expect(named(values, "absolute-humidity").value).toBe(absoluteHumidity(25, 80));
    expect(named(values, "wood-moisture").value).toBe(woodEquilibriumMoisture(25, 80));
    expect(named(values, "condensation-margin")).toEqual({
      condition: "condensation-margin",
      at: instant(1200),
      value: condensationMargin(20, 25, 80),
      quality: "good",
      reason: null,
    });
  });

  it("gives each condition that the channel is an input of, at the instant of the reading", () => {
    const station = deriver();
    take(station, damp);
    const conditionsOf = (reading: Reading) => {
      const values = station.take(reading);
      expect(values.every(({ at }) => at.mono === reading.at.mono)).toBe(true);
      return values.map(({ condition }) => condition).sort();
    };
    const fromRoom = ["absolute-humidity", "condensation-margin", "dew-point", "wood-moisture"];
    expect(conditionsOf(good("room-t", 2000, 24))).toEqual(fromRoom);
    expect(conditionsOf(good("room-rh", 2001, 50))).toEqual(fromRoom);
    expect(conditionsOf(good("coolant", 2002, 20))).toEqual([
      "condensation-margin",
      "coolant-slope",
      "coolant-time-in-range",
    ]);
    expect(conditionsOf(good("lid", 2003, 1))).toEqual([]);
    expect(conditionsOf(good("fan", 2004, 2000))).toEqual([]);
    expect(conditionsOf(good("unheard-of", 2005, 1))).toEqual([]);
  });

  it("goes by the first channel of a kind", () => {
    const station = deriver();
    take(station, damp);
    expect(station.take(good("second-coolant", 1300, 5))).toEqual([]);
    expect(named(station.current(), "condensation-margin").value).toBe(condensationMargin(20, 25, 80));
  });

  it("leaves out what has no sensors, rather than calling it bad", () => {
    const dry = createDeriver({ definitions: channelsBut("room-rh"), coolantRange });
    take(dry, damp.slice(0, 1).concat(damp.slice(2)));
    expect(dry.current().map(({ condition }) => condition)).toEqual([
      "coolant-slope",
      "coolant-time-in-range",
    ]);
    const warm = createDeriver({ definitions: channelsOf("room-t", "room-rh"), coolantRange });
    take(warm, damp);
    expect(warm.current().map(({ condition }) => condition)).toEqual([
      "dew-point",
      "absolute-humidity",
      "wood-moisture",
    ]);
    expect(warm.trend().word).toBe("unknown");
  });

  it("has nothing before the first reading, and lists in the order of CONDITIONS", () => {
    const station = deriver();
    expect(station.current()).toEqual([]);
    take(station, [...damp].reverse());
    expect(station.current().map(({ condition }) => condition)).toEqual(Object.keys(CONDITIONS));
  });
});

describe("quality", () => {
  it.each<{ what: string; last: Reading; quality: string; reason: Reason }>([
    { what: "a dead humidity sensor", last: poor("room-rh", 2000, "stale"), quality: "bad", reason: "stale" },
    {
      what: "a coolant probe gone",
      last: poor("coolant", 2000, "unplugged"),
      quality: "bad",
      reason: "unplugged",
    },
    {
      what: "a doubtful room",
      last: poor("room-t", 2000, "sender-marked", 25),
      quality: "uncertain",
      reason: "sender-marked",
    },
  ])("of the margin is that of the worst input: $what", ({ last, quality, reason }) => {
    const station = deriver();
    take(station, [...damp, last]);
    const margin = named(station.current(), "condensation-margin");
    expect(margin).toMatchObject({ quality, reason });
    expect(margin.value === null).toBe(quality === "bad");
  });

  it("puts bad before uncertain", () => {
    const station = deriver();
    take(station, [...damp, poor("coolant", 2000, "sender-marked", 20), poor("room-rh", 2001, "garbled")]);
    expect(named(station.current(), "condensation-margin")).toMatchObject({
      quality: "bad",
      reason: "garbled",
    });
  });

  it("is never-read while an input is awaited", () => {
    const values = deriver().take(good("room-t", 1000, 25));
    expect(named(values, "dew-point")).toMatchObject({ value: null, quality: "bad", reason: "never-read" });
  });

  it("takes a reading a little over 100 % as 100, and refuses what the formulas do not cover", () => {
    const station = deriver();
    take(station, [good("coolant", 1, 20), good("room-t", 2, 20), good("room-rh", 3, 102)]);
    expect(named(station.current(), "dew-point").value).toBeCloseTo(20, 9);
    station.take(good("room-rh", 4, 0));
    expect(named(station.current(), "dew-point")).toMatchObject({ value: null, reason: "beyond-formula" });
    expect(named(station.current(), "wood-moisture").value).toBe(0);
    take(station, [good("room-rh", 5, 50), good("room-t", 6, -5)]);
    expect(named(station.current(), "dew-point").value).toBeLessThan(-5);
    expect(named(station.current(), "wood-moisture")).toMatchObject({
      value: null,
      reason: "beyond-formula",
    });
  });
});

const coolantReadings = (course: (s: number) => number, lastS: number, everyS = 1): Reading[] =>
  scene(course, lastS, { everyS }).map(({ mono, value }) => good("coolant", mono, value));

describe("the coolant's trend", () => {
  it("is awaited, then told, and is a condition too", () => {
    const station = deriver();
    const readings = coolantReadings((s) => 19 + (0.2 * s) / 60, 300);
    const early = take(station, readings.slice(0, 20));
    expect(named(early, "coolant-time-in-range")).toMatchObject({
      value: null,
      quality: "bad",
      reason: "too-few-readings",
    });
    take(station, readings.slice(20));
    expect(station.trend().word).toBe("rising");
    expect(named(station.current(), "coolant-slope").value).toBe(station.trend().slopePerMin);
    expect(named(station.current(), "coolant-time-in-range")).toMatchObject({
      value: station.trend().minutesInRange,
      quality: "good",
    });
  });

  it("is unknown while the probe is bad, with the probe's reason, and comes back with it", () => {
    const station = deriver();
    take(
      station,
      coolantReadings(() => 20, 300),
    );
    take(station, [poor("coolant", 301_000, "crc-failed")]);
    expect(station.trend().word).toBe("unknown");
    expect(named(station.current(), "coolant-slope")).toMatchObject({ value: null, reason: "crc-failed" });
    take(station, [good("coolant", 302_000, 20)]);
    expect(station.trend().word).toBe("steady");
  });

  it("is not bent by a value that leapt", () => {
    const station = deriver();
    take(
      station,
      coolantReadings(() => 20, 300),
    );
    const values = station.take(poor("coolant", 301_000, "sudden-jump", 85));
    expect(station.trend()).toMatchObject({ word: "steady", minutesInRange: 60 });
    expect(named(values, "coolant-slope")).toMatchObject({ quality: "uncertain", reason: "sudden-jump" });
  });

  it("forgets what was before the machine was started again", () => {
    const station = deriver();
    take(
      station,
      coolantReadings((s) => 19 + (0.2 * s) / 60, 600),
    );
    station.take(good("coolant", 5000, 20));
    expect(station.trend().word).toBe("unknown");
    take(station, coolantReadings(() => 20, 200).slice(6));
    expect(station.trend().word).toBe("steady");
  });

  it("is the same, however fast the probe, from a bounded history", () => {
    const fast = deriver();
    take(
      fast,
      coolantReadings((s) => 19 + (0.2 * s) / 60, 900, 0.1),
    );
    // Two a second in ten minutes, and one more where the window cuts two half-seconds.
    expect(fast.trend().n).toBeLessThanOrEqual(1201);
    expect(fast.trend().slopePerMin).toBeCloseTo(0.2, 2);
  });

  it("uses the window and the horizon that are set", () => {
    const station = createDeriver({
      definitions: channelsBut(),
      coolantRange,
      trend: { windowS: 120, horizonMin: 30 },
    });
    expect(station.trend().horizonMin).toBe(30);
    take(
      station,
      coolantReadings(() => 20, 600),
    );
    expect(station.trend().minutesInRange).toBe(30);
    expect(station.trend().spanS).toBeLessThanOrEqual(120);
  });
});

describe("extraction", () => {
  it("follows its channels", () => {
    const station = deriver();
    expect(station.extraction().state).toBe("unknown");
    station.take(good("fan", 1000, 2400));
    expect(station.extraction().state).toBe("running");
    station.take(good("duct", 1100, 2));
    expect(station.extraction().state).toBe("stopped");
    take(station, [poor("duct", 1200, "stale"), poor("fan", 1300, "stale")]);
    expect(station.extraction().state).toBe("unknown");
  });
});
