import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type CoolantTrend, unknownTrend } from "../../../station/conditions/coolant-trend.js";
import {
  judgeReadiness,
  type ReadinessInput,
  type ValueInForce,
} from "../../../station/conditions/readiness.js";
import { REASONS, type Reason } from "../../../station/model/reading.js";
import { good, poor } from "./stock-channels.js";

const steady: CoolantTrend = {
  word: "steady",
  level: 20,
  slopePerMin: 0,
  slopeSe: 0.001,
  residualSd: 0.03,
  minutesInRange: 60,
  horizonMin: 60,
  place: "inside",
  cycle: null,
  n: 600,
  spanS: 600,
};
const rising = (minutesInRange: number): CoolantTrend => ({
  ...steady,
  word: "rising",
  slopePerMin: 0.2,
  minutesInRange,
});
const value = (number: number): ValueInForce => ({ value: number, quality: "good", reason: null });
const dead = (reason: Reason): ValueInForce => ({ value: null, quality: "bad", reason });

const fine: ReadinessInput = {
  coolant: good("coolant", 1000, 20),
  range: { low: 18, high: 22 },
  trend: steady,
  margin: value(8),
  extraction: { state: "running", text: "running: Fan 2400 1/min" },
  cutting: true,
  flow: value(1),
  room: { temperature: value(21), humidity: value(45) },
  journalWriting: true,
  urgentAlarms: 0,
};
const judged = (change: Partial<ReadinessInput>) => judgeReadiness({ ...fine, ...change });

const stopped = { state: "stopped", text: "stopped: Vane switch is off" } as const;
const unsure = { state: "unknown", text: "no extraction sensor is configured" } as const;

describe("judgeReadiness", () => {
  it.each<[string, number | null, Partial<ReadinessInput>]>([
    ["Fit to cut: the coolant should stay in range for more than 60 min.", 60, {}],
    ["Fit to cut: the coolant should stay in range for about 8 min.", 8.7, { trend: rising(8.7) }],
    ["Fit to cut: the coolant should stay in range for about 1 min.", 1, { trend: rising(1) }],
    ["Fit to cut: the coolant should stay in range for more than 30 min.", 30, { horizonMin: 30 }],
    [
      "Fit to cut: the coolant is in range, though it is too early to say for how long.",
      null,
      { trend: unknownTrend() },
    ],
    [
      "Fit to cut: the coolant should stay in range for more than 60 min, but its reading is doubtful (it is beyond the calibrated points).",
      60,
      { coolant: poor("coolant", 1000, "beyond-calibration", 20) },
    ],
    [
      "Fit to cut: the coolant should stay in range for more than 60 min; runs are not being kept.",
      60,
      { journalWriting: false },
    ],
    [
      "Fit to cut: the coolant should stay in range for more than 60 min.",
      60,
      { margin: null, flow: null, room: { temperature: null, humidity: null } },
    ],
  ])("%s", (sentence, minutes, change) => {
    expect(judged(change)).toMatchObject({ fitness: "fit", sentence, minutes });
  });

  it.each<[string, Partial<ReadinessInput>]>([
    ["Not fit to cut: extraction is stopped.", { extraction: stopped }],
    [
      "Not fit to cut: the coolant is at 22.6 °C, above 22.0 °C.",
      { coolant: good("coolant", 1, 22.6), trend: { ...rising(0), place: "above" } },
    ],
    [
      "Not fit to cut: the coolant is at 17.4 °C, below 18.0 °C.",
      { coolant: good("coolant", 1, 17.4), trend: { ...steady, minutesInRange: 0, place: "below" } },
    ],
    [
      "Not fit to cut: the coolant is at 20.0 °C and rising, about to leave its range.",
      { trend: rising(0.5) },
    ],
    ["Not fit to cut: the coolant is not flowing.", { flow: value(0) }],
    ["Not fit to cut: the coolant flows at 1.2 L/min, below 2 L/min.", { flow: { ...value(1.2), least: 2 } }],
    [
      "Not fit to cut: the coolant is only 1.5 °C above the dew point, less than 2 °C, and water may condense on the tube and the optics.",
      { margin: value(1.5) },
    ],
    [
      "Not fit to cut: the coolant is 0.7 °C below the dew point, and water will condense on the tube and the optics.",
      { margin: value(-0.7) },
    ],
    ["Not fit to cut: an urgent alarm is standing.", { urgentAlarms: 1 }],
    ["Not fit to cut: 2 urgent alarms are standing.", { urgentAlarms: 2 }],
    [
      "Not fit to cut: the coolant is not flowing; and extraction is stopped.",
      { flow: value(0), extraction: stopped, urgentAlarms: 2 },
    ],
    [
      "Not fit to cut: extraction is stopped; runs are not being kept.",
      { extraction: stopped, journalWriting: false },
    ],
    ["Not fit to cut: extraction is stopped.", { extraction: stopped, coolant: null, flow: dead("stale") }],
  ])("%s", (sentence, change) => {
    expect(judged(change)).toMatchObject({ fitness: "not-fit", sentence });
  });

  it.each<[string, Partial<ReadinessInput>]>([
    [
      "Cannot tell: the coolant probe is not reporting.",
      { coolant: poor("coolant", 1, "stale"), trend: unknownTrend() },
    ],
    ["Cannot tell: the coolant probe is not reporting.", { coolant: null, trend: unknownTrend() }],
    ["Cannot tell: it is not known whether extraction is running.", { extraction: unsure }],
    ["Cannot tell: the coolant flow sensor is not reporting.", { flow: dead("wire-missing") }],
    ["Cannot tell: the condensation margin is not known.", { margin: dead("stale") }],
    [
      "Cannot tell: the coolant probe is not reporting; and it is not known whether extraction is running.",
      { coolant: null, extraction: unsure },
    ],
  ])("%s", (sentence, change) => {
    expect(judged(change)).toMatchObject({ fitness: "cannot-tell", sentence });
  });

  it("has no minutes without a coolant temperature, and none to give outside the range", () => {
    expect(judged({ coolant: poor("coolant", 1, "stale") }).minutes).toBeNull();
    expect(judged({ coolant: good("coolant", 1, 23), trend: { ...rising(0), place: "above" } }).minutes).toBe(
      0,
    );
  });

  it("takes another least margin", () => {
    expect(judged({ margin: value(2.5) }).fitness).toBe("fit");
    expect(judged({ margin: value(2.5), minMarginC: 3 }).fitness).toBe("not-fit");
    expect(judged({ margin: value(2) }).fitness).toBe("fit");
  });

  it.each([
    ["not-yet", "Start the extraction first: the coolant should stay in range for more than 60 min.", {}],
    ["not-fit", "Not fit to cut: the coolant is not flowing.", { flow: value(0) }],
    ["cannot-tell", "Cannot tell: the coolant probe is not reporting.", { coolant: null }],
  ] as const)(
    "takes an extraction that is off between jobs as one thing to do first: %s, %s",
    (fitness, sentence, change) => {
      expect(judged({ extraction: stopped, cutting: false, ...change })).toMatchObject({ fitness, sentence });
    },
  );

  it("lists each check once, with what to do about the extraction", () => {
    const { checks } = judged({ extraction: stopped, journalWriting: false });
    expect(checks).toEqual([
      { subject: "coolant", fitness: "fit", text: "Coolant at 20.0 °C, in its range of 18 to 22 °C." },
      { subject: "coolant-flow", fitness: "fit", text: "The coolant is flowing." },
      {
        subject: "extraction",
        fitness: "not-fit",
        text: "Extraction stopped: Vane switch is off. Start the extraction before cutting.",
      },
      { subject: "condensation", fitness: "fit", text: "The coolant is 8.0 °C above the dew point." },
      { subject: "room", fitness: "fit", text: "Room: 21.0 °C, 45 % RH." },
      {
        subject: "journal",
        fitness: "cannot-tell",
        text: "Runs are not being kept: the journal is not writing.",
      },
    ]);
  });

  it("shows a dead room sensor without letting it decide", () => {
    const { fitness, checks } = judged({ room: { temperature: value(21), humidity: dead("timed-out") } });
    expect(fitness).toBe("fit");
    expect(checks.find(({ subject }) => subject === "room")).toEqual({
      subject: "room",
      fitness: "cannot-tell",
      text: "Room: 21.0 °C, humidity not known (it did not answer in time).",
    });
  });

  it("gives one plain sentence, whatever comes, that says nothing of safety or permission", () => {
    const reasons = Object.keys(REASONS) as Reason[];
    const bad = reasons.filter((reason) => REASONS[reason].quality === "bad");
    const inForce = fc.oneof(
      fc.double({ min: -50, max: 120, noNaN: true }).map(value),
      fc.constantFrom(...bad).map(dead),
    );
    const input = fc.record({
      coolant: fc.oneof(
        fc.constant(null),
        fc.double({ min: -10, max: 90, noNaN: true }).map((number) => good("coolant", 1, number)),
        fc.constantFrom(...reasons).map((reason) => poor("coolant", 1, reason, 20)),
      ),
      trend: fc.oneof(fc.constant(unknownTrend()), fc.double({ min: 0, max: 60, noNaN: true }).map(rising)),
      margin: fc.option(inForce),
      extraction: fc.constantFrom(fine.extraction, stopped, unsure),
      flow: fc.option(inForce),
      room: fc.record({ temperature: fc.option(inForce), humidity: fc.option(inForce) }),
      journalWriting: fc.boolean(),
      urgentAlarms: fc.nat(3),
    });
    fc.assert(
      fc.property(input, (change) => {
        const { fitness, minutes, sentence, checks } = judged(change);
        const opening = {
          fit: "Fit to cut: ",
          "not-yet": "Start the extraction first: ",
          "not-fit": "Not fit to cut: ",
          "cannot-tell": "Cannot tell: ",
        }[fitness];
        expect(sentence.startsWith(opening)).toBe(true);
        expect(sentence.endsWith(".")).toBe(true);
        expect(sentence.length).toBeGreaterThan(opening.length + 10);
        for (const text of [sentence, ...checks.map((check) => check.text)]) {
          expect(text).not.toMatch(/\bsafe|\bunsafe|permission to|permitted|may cut|NaN|undefined|null/i);
        }
        if (minutes !== null) expect(minutes >= 0 && minutes <= 60).toBe(true);
        const deciding = checks.filter(({ subject }) => subject !== "room" && subject !== "journal");
        if (fitness === "fit") expect(deciding.every((check) => check.fitness === "fit")).toBe(true);
        if (change.extraction.state === "stopped") expect(fitness).toBe("not-fit");
        if (change.extraction.state !== "running") {
          expect(judged({ ...change, cutting: false }).fitness).not.toBe("fit");
        }
        if (change.urgentAlarms > 0) expect(fitness).toBe("not-fit");
      }),
      { numRuns: 400 },
    );
  });
});
