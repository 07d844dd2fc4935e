import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { defineChannel } from "../../../station/channels/define.js";
import { judge } from "../../../station/channels/judge.js";
import type { ChannelEntry } from "../../../station/model/channel.js";
import { CHANNEL_KINDS, type ChannelKind, UNITS, type Unit } from "../../../station/model/quantity.js";
import { type RawReading, REASONS, type Reason } from "../../../station/model/reading.js";
import { coolantChannel, instant } from "./entries.js";

const at = instant(5000);
const said = (value: number, more: { unit?: Unit; doubt?: Reason } = {}): RawReading => ({
  source: "probe",
  point: "temperature",
  at,
  value,
  unit: "Cel",
  ...more,
});

describe("judge", () => {
  it("passes a sound value through as good", () => {
    expect(judge(coolantChannel(), said(20.0625))).toEqual({
      channel: "coolant-in",
      at,
      value: 20.0625,
      quality: "good",
      reason: null,
    });
  });

  it.each([
    {
      what: "a fault of the source",
      raw: { source: "probe", point: "temperature", at, fault: "crc-failed" } as const,
      reason: "crc-failed",
    },
    { what: "another unit", raw: said(20, { unit: "%RH" }), reason: "wrong-unit" },
    { what: "not a number", raw: said(Number.NaN), reason: "not-a-number" },
    { what: "infinity", raw: said(Number.POSITIVE_INFINITY), reason: "not-a-number" },
    { what: "below the valid range", raw: said(-10.1), reason: "out-of-valid-range" },
    { what: "above the valid range", raw: said(90.1), reason: "out-of-valid-range" },
    {
      what: "a doubt that leaves no value",
      raw: said(85, { doubt: "power-on-value" }),
      reason: "power-on-value",
    },
    // A fault has no value, so that it is bad even where its reason usually keeps one.
    {
      what: "a fault for a doubtful reason",
      raw: { source: "probe", point: "temperature", at, fault: "sudden-jump" } as const,
      reason: "sudden-jump",
    },
  ])("calls $what bad, without a value", ({ raw, reason }) => {
    expect(judge(coolantChannel(), raw)).toEqual({
      channel: "coolant-in",
      at,
      value: null,
      quality: "bad",
      reason,
    });
  });

  it("takes the bounds of the valid range as valid", () => {
    expect(judge(coolantChannel(), said(-10)).quality).toBe("good");
    expect(judge(coolantChannel(), said(90)).quality).toBe("good");
  });

  it("judges validity after calibration", () => {
    const channel = coolantChannel({ calibration: { offset: 5 }, valid: [0, 30] });
    expect(judge(channel, said(-3)).value).toBe(2);
    expect(judge(channel, said(26)).reason).toBe("out-of-valid-range");
  });

  it("doubts a value beyond the calibrated points but keeps it", () => {
    const channel = coolantChannel({
      calibration: {
        points: [
          [0, 0],
          [30, 31],
        ],
      },
    });
    expect(judge(channel, said(15))).toMatchObject({ value: 15.5, quality: "good", reason: null });
    expect(judge(channel, said(60))).toMatchObject({
      value: 62,
      quality: "uncertain",
      reason: "beyond-calibration",
    });
  });

  it("keeps the driver's doubt, also beside the calibration's", () => {
    const channel = coolantChannel({
      calibration: {
        points: [
          [0, 0],
          [30, 31],
        ],
      },
    });
    expect(judge(channel, said(15, { doubt: "sudden-jump" }))).toMatchObject({
      quality: "uncertain",
      reason: "sudden-jump",
    });
    expect(judge(channel, said(60, { doubt: "sender-marked" }))).toMatchObject({ reason: "sender-marked" });
  });

  it.each([
    { value: 0, quality: "good" },
    { value: 1, quality: "good" },
    { value: 0.5, quality: "bad" },
    { value: 2, quality: "bad" },
    { value: -1, quality: "bad" },
  ])("takes a state of $value as $quality", ({ value, quality }) => {
    const flow = defineChannel({ id: "flow", kind: "coolant-flowing", source: "pins" });
    expect(judge(flow, { source: "pins", point: "flow", at, value, unit: "state" }).quality).toBe(quality);
  });

  it("writes no minus before a zero", () => {
    expect(Object.is(judge(coolantChannel(), said(-0)).value, 0)).toBe(true);
  });

  it("never throws, has a value exactly unless bad, and a reason exactly unless good", () => {
    const kinds = Object.keys(CHANNEL_KINDS) as ChannelKind[];
    const units = Object.keys(UNITS) as Unit[];
    const reasons = Object.keys(REASONS) as Reason[];
    const calibration = fc.oneof(
      fc.constant(undefined),
      fc.record({ offset: fc.double({ noNaN: true }) }),
      fc
        .uniqueArray(fc.tuple(fc.double({ noNaN: true }), fc.double({ noNaN: true })), {
          minLength: 2,
          maxLength: 5,
          selector: ([x]) => x,
          comparator: (a, b) => a === b,
        })
        .map((pairs) => ({ points: [...pairs].sort(([a], [b]) => a - b) as [number, number][] })),
    );
    const raw: fc.Arbitrary<RawReading> = fc.oneof(
      fc.record({
        source: fc.constant("s"),
        point: fc.string(),
        at: fc.constant(at),
        fault: fc.constantFrom(...reasons),
      }),
      fc.record(
        {
          source: fc.constant("s"),
          point: fc.string(),
          at: fc.constant(at),
          value: fc.oneof(fc.double(), fc.constantFrom(0, 1, -0)),
          unit: fc.constantFrom(...units),
          doubt: fc.constantFrom(...reasons),
        },
        { requiredKeys: ["source", "point", "at", "value", "unit"] },
      ),
    );
    fc.assert(
      fc.property(fc.constantFrom(...kinds), calibration, raw, (kind, curve, reading) => {
        const analogue = CHANNEL_KINDS[kind].form === "analogue";
        const entry: ChannelEntry = { id: "c", kind, source: "s" };
        const definition = defineChannel(
          analogue && curve !== undefined ? { ...entry, calibration: curve } : entry,
        );
        const judged = judge(definition, reading);
        expect(judged.value === null).toBe(judged.quality === "bad");
        expect(judged.reason === null).toBe(judged.quality === "good");
        if (judged.value !== null) {
          expect(judged.value).toBeGreaterThanOrEqual(definition.valid[0]);
          expect(judged.value).toBeLessThanOrEqual(definition.valid[1]);
        }
      }),
      { numRuns: 500 },
    );
  });
});
