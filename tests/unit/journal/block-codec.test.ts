import { crc32 } from "node:zlib";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type ChannelReadings,
  decodeBlock,
  encodeBlock,
  type Status,
} from "../../../station/journal/block-codec.js";
import { DamagedBytes } from "../../../station/journal/byte-stream.js";

const NAME = { channel: 3, first: 4097 };
const STATUSES: readonly Status[] = [
  { quality: 0, reason: null },
  { quality: 2, reason: "crc-failed" },
  { quality: 1, reason: "a reason of a later program, with ünïcode" },
];

interface One {
  readonly id: number;
  readonly wall: number;
  readonly mono: number;
  readonly value: number;
  readonly status: number;
}

function columns(readings: readonly One[]): ChannelReadings {
  const of = (key: keyof One) => Float64Array.from(readings, (reading) => reading[key]);
  return {
    id: of("id"),
    wall: of("wall"),
    mono: of("mono"),
    value: of("value"),
    status: Uint16Array.from(of("status")),
    statuses: STATUSES,
  };
}

/** To the bit: `toEqual` tells zero from negative zero, and takes NaN for NaN. */
function expectSame(readings: readonly One[], resolution: number | null): void {
  const given = columns(readings);
  expect(decodeBlock(NAME, encodeBlock(NAME, given, resolution))).toEqual(given);
}

const anyDouble = fc.double({ noNaN: true });
const anyValue = fc.oneof(
  fc.integer({ min: -640, max: 1440 }).map((k) => k * 0.0625),
  fc.integer({ min: -400, max: 900 }).map((k) => k / 10),
  fc.integer({ min: -400, max: 900 }).map((k) => k * 0.1),
  fc.integer({ min: -40_000, max: 90_000 }).map((k) => k / 1000),
  anyDouble,
  fc.constant(Number.NaN),
);
/** Forward by a regular step, a jump either way, or not at all. */
const anyStep = fc.oneof(fc.constant(1000), fc.integer({ min: -5, max: 1005 }), fc.maxSafeInteger());
const anyReadings = fc
  .array(
    fc.record({
      id: fc.oneof(fc.constant(3), fc.integer({ min: 1, max: 5000 })),
      mono: anyStep,
      set: fc.oneof({ weight: 9, arbitrary: fc.constant(0) }, { weight: 1, arbitrary: anyStep }),
      value: anyValue,
      status: fc.oneof(fc.constant(0), fc.nat(2)),
    }),
    { maxLength: 300 },
  )
  .map((steps) => {
    let [id, mono, set] = [0, 0, 1_777_885_200_000];
    return steps.map((step) => {
      id += step.id;
      mono += step.mono;
      set += step.set;
      return { id, mono, wall: mono + set, value: step.value, status: step.status };
    });
  });
const anyResolution = fc.oneof(
  fc.constantFrom(0.0625, 0.1, 0.05, 0.001, 1, 30, null),
  fc.double({ min: 0, noNaN: true }),
);

/** An hour of a probe at 1 s, beside two other channels, its value wandering by a step now and then. */
function hour(value: (i: number) => number): One[] {
  return Array.from({ length: 3600 }, (_, i) => ({
    id: 1 + 3 * i,
    wall: 1_777_885_200_000 + 1000 * i,
    mono: 5000 + 1000 * i,
    value: value(i),
    status: 0,
  }));
}

describe("a block", () => {
  it("reads back as it was given, to the bit, whatever was given", () => {
    fc.assert(
      fc.property(anyReadings, anyResolution, (readings, resolution) => expectSame(readings, resolution)),
      { numRuns: 300 },
    );
  });

  it("reads back values of one kind, on any grid or none, few or many", () => {
    const ofOneKind = fc.oneof(
      fc.array(fc.integer({ min: -100, max: 100 }).map((k) => k * 0.1)),
      fc.array(fc.integer({ min: -100, max: 100 }).map((k) => 0.3 + 1.017 * k * 0.0625)),
      fc.array(fc.constantFrom(0, -0, 1)),
      fc.array(anyDouble, { minLength: 20 }),
    );
    fc.assert(
      fc.property(ofOneKind, anyResolution, (values, resolution) =>
        expectSame(
          values.map((value, i) => ({ id: i + 1, wall: i, mono: i, value, status: 0 })),
          resolution,
        ),
      ),
      { numRuns: 300 },
    );
  });

  it("keeps times that are no whole numbers", () => {
    const odd = { id: 1, wall: 0.1, mono: 0.2, value: 1, status: 0 };
    expectSame([odd, { ...odd, id: 2, wall: 1e300, mono: -0 }], 0.1);
  });

  it("of an hour at a regular interval takes next to nothing but for its values", () => {
    const steady = { ...columns(hour(() => 18.0625)), statuses: STATUSES.slice(0, 1) };
    expect(encodeBlock(NAME, steady, 0.0625).length).toBeLessThan(100);
    // One step up or down in eight readings: 0.54 bits for whether, and 1/8 for which way, make 300 bytes by Shannon.
    const wandering = hour(
      (i) => 18 + ((((i * 2654435761) >>> 29) & 1) + (((i * 40503) >>> 3) & 7 ? 0 : 1)) / 16,
    );
    expect(encodeBlock(NAME, columns(wandering), 0.0625).length).toBeLessThan(0.35 * 3600);
  });

  it("with a byte of it changed, cut off or in the place of another is found to be damaged", () => {
    const block = encodeBlock(NAME, columns(hour((i) => 18 + (i % 7) / 16)), 0.0625);
    fc.assert(
      fc.property(fc.nat(block.length - 1), fc.integer({ min: 1, max: 255 }), (at, change) => {
        const other = block.slice();
        other[at] = (other[at] as number) ^ change;
        expect(() => decodeBlock(NAME, other)).toThrow(DamagedBytes);
        expect(() => decodeBlock(NAME, block.subarray(0, at))).toThrow(DamagedBytes);
      }),
    );
    expect(() => decodeBlock({ ...NAME, channel: 4 }, block)).toThrow(DamagedBytes);
    expect(() => decodeBlock({ ...NAME, first: 1 }, block)).toThrow(DamagedBytes);
  });

  it("carries the CRC-32 of the check value", () => {
    // CRC-32/ISO-HDLC, check "123456789" = 0xCBF43926 (ITU-T V.42; the check value from memory).
    expect(crc32(Buffer.from("123456789"))).toBe(0xcbf43926);
  });
});
