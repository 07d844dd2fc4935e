import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createChannelBoard } from "../../../station/channels/board.js";
import { defineChannel } from "../../../station/channels/define.js";
import type { RawReading, Reason } from "../../../station/model/reading.js";
import { coolantChannel, instant } from "./entries.js";

const said = (mono: number, value: number, point = "temperature", source = "probe"): RawReading => ({
  source,
  point,
  at: instant(mono),
  value,
  unit: "Cel",
});
const failed = (mono: number, fault: Reason, point = "temperature"): RawReading => ({
  source: "probe",
  point,
  at: instant(mono),
  fault,
});

/** Stale after 7 s. */
const one = () => createChannelBoard([coolantChannel()]);

describe("where a reading goes", () => {
  const board = () =>
    createChannelBoard([
      coolantChannel({ id: "in", point: "a" }),
      coolantChannel({ id: "out", kind: "coolant-outlet", point: "b" }),
      coolantChannel({ id: "any" }),
      coolantChannel({ id: "elsewhere", source: "other" }),
    ]);
  const takers = (raw: RawReading) =>
    board()
      .take(raw)
      .map((reading) => reading.channel);

  it("goes to every channel on its source and point, and to those that take any point", () => {
    expect(takers(said(1, 20, "a"))).toEqual(["in", "any"]);
    expect(takers(said(1, 20, "b"))).toEqual(["out", "any"]);
    expect(takers(said(1, 20, "c", "other"))).toEqual(["elsewhere"]);
    expect(takers(said(1, 20, "a", "unheard-of"))).toEqual([]);
  });

  it("takes a fault the same way as a value", () => {
    expect(takers(failed(1, "crc-failed", "b"))).toEqual(["out", "any"]);
  });

  it("refuses two channels of one id", () => {
    expect(() => createChannelBoard([coolantChannel(), coolantChannel()])).toThrow(RangeError);
  });
});

describe("the latest reading", () => {
  it("is null before anything was read, and for a channel that does not exist", () => {
    const board = one();
    expect(board.latest("coolant-in")).toBeNull();
    expect(board.latest("nowhere")).toBeNull();
  });

  it("drops what is older than the latest, and an exact repeat", () => {
    const board = one();
    expect(board.take(said(2000, 20))).toHaveLength(1);
    expect(board.take(said(1000, 19))).toEqual([]);
    expect(board.take(said(2000, 20))).toEqual([]);
    expect(board.latest("coolant-in")?.value).toBe(20);
  });

  it("keeps both edges of a switch within one millisecond, the last to come being in force", () => {
    const board = createChannelBoard([defineChannel({ id: "lid", kind: "lid-open", source: "pins" })]);
    const edge = (value: number): RawReading => ({
      source: "pins",
      point: "lid",
      at: instant(500),
      value,
      unit: "state",
    });
    expect([...board.take(edge(1)), ...board.take(edge(0))].map((reading) => reading.value)).toEqual([1, 0]);
    expect(board.latest("lid")?.value).toBe(0);
  });

  it("is bad at once after a fault, and comes out at every report of it", () => {
    const board = one();
    board.take(said(1000, 20));
    expect(board.take(failed(2000, "missing"))).toMatchObject([
      { quality: "bad", reason: "missing", value: null },
    ]);
    expect(board.take(failed(3000, "missing"))).toHaveLength(1);
    expect(board.latest("coolant-in")).toMatchObject({ reason: "missing", at: { mono: 3000 } });
    expect(board.take(said(4000, 20.5))).toMatchObject([{ quality: "good" }]);
  });
});

describe("silence", () => {
  it("makes a channel stale exactly once, stamped with the moment it was noticed", () => {
    const board = one();
    board.take(said(1000, 20));
    expect(board.tick(instant(8000))).toEqual([]);
    expect(board.tick(instant(8001))).toEqual([
      { channel: "coolant-in", at: instant(8001), value: null, quality: "bad", reason: "stale" },
    ]);
    expect(board.tick(instant(9000))).toEqual([]);
    expect(board.latest("coolant-in")?.reason).toBe("stale");
  });

  it("ends with the next reading, and can come again", () => {
    const board = one();
    board.take(said(1000, 20));
    board.tick(instant(9000));
    expect(board.take(said(9500, 21))).toMatchObject([{ quality: "good", value: 21 }]);
    expect(board.tick(instant(17_000))).toMatchObject([{ reason: "stale" }]);
  });

  it("says never-read once, of a channel that gave nothing in its time since the first tick", () => {
    const board = one();
    expect(board.tick(instant(100_000))).toEqual([]);
    expect(board.tick(instant(107_000))).toEqual([]);
    expect(board.tick(instant(107_001))).toMatchObject([{ reason: "never-read", quality: "bad" }]);
    expect(board.tick(instant(120_000))).toEqual([]);
  });

  it("does not put stale in the place of a better reason", () => {
    const board = one();
    board.take(failed(1000, "unplugged"));
    expect(board.tick(instant(60_000))).toEqual([]);
    expect(board.latest("coolant-in")?.reason).toBe("unplugged");
  });

  it("lets no reading out of order after a stale one", () => {
    const board = one();
    board.take(said(1000, 20));
    board.tick(instant(9000));
    expect(board.take(said(8990, 21))).toEqual([]);
  });
});

describe("whatever comes", () => {
  it("lets each channel's readings out in order of time, with no two stale ones in a row", () => {
    const step = fc.oneof(
      fc.record({ what: fc.constant("value" as const), mono: fc.nat(60_000), value: fc.double() }),
      fc.record({ what: fc.constant("fault" as const), mono: fc.nat(60_000) }),
      fc.record({ what: fc.constant("tick" as const), forward: fc.nat(10_000) }),
    );
    fc.assert(
      fc.property(fc.array(step, { maxLength: 60 }), (steps) => {
        const board = one();
        let now = 0;
        const out = steps.flatMap((each) => {
          if (each.what === "tick") {
            now += each.forward;
            return board.tick(instant(now));
          }
          now = Math.max(now, each.mono);
          return board.take(
            each.what === "value" ? said(each.mono, each.value) : failed(each.mono, "timed-out"),
          );
        });
        out.forEach((reading, i) => {
          const before = out[i - 1];
          expect(reading.value === null).toBe(reading.quality === "bad");
          if (before === undefined) return;
          expect(reading.at.mono).toBeGreaterThanOrEqual(before.at.mono);
          expect(reading.reason === "stale" && before.quality === "bad").toBe(false);
        });
        expect(board.latest("coolant-in")).toEqual(out.at(-1) ?? null);
      }),
    );
  });
});
