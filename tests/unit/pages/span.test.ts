import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { addressOf, MOST_CHANNELS, wantedBy } from "../../../ui/src/history/address.js";
import {
  allOf,
  between,
  clamped,
  endingAt,
  isOff,
  LONGEST_MS,
  moved,
  PRESETS,
  pinched,
  presetOf,
  SHORTEST_MS,
  type Span,
  zoomed,
} from "../../../ui/src/history/span.js";

const DAY = 86_400_000;
const MAY = Date.UTC(2026, 4, 4);
const span = fc
  .record({
    from: fc.integer({ min: MAY - 5000 * DAY, max: MAY }),
    length: fc.integer({ min: SHORTEST_MS, max: LONGEST_MS }),
  })
  .map(({ from, length }): Span => ({ from, to: from + length }));
const share = fc.double({ min: 0, max: 1, noNaN: true });
const lengthOf = ({ from, to }: Span) => to - from;

describe("a span of time", () => {
  it("stays between a minute and ten years in whole milliseconds, whatever is done with it", () => {
    fc.assert(
      fc.property(
        span,
        fc.double({ min: 1e-9, max: 1e9, noNaN: true }),
        share,
        share,
        (some, factor, a, b) => {
          for (const next of [
            zoomed(some, factor, a),
            moved(some, a - b),
            between(some, a, b),
            pinched(some, [a, b], [b / 2, a]),
            clamped({ from: some.from, to: some.from - 1 }),
          ]) {
            expect(Number.isInteger(next.from) && Number.isInteger(next.to)).toBe(true);
            expect(next.from).toBeGreaterThanOrEqual(0);
            expect(lengthOf(next)).toBeGreaterThanOrEqual(SHORTEST_MS);
            expect(lengthOf(next)).toBeLessThanOrEqual(LONGEST_MS + 1);
          }
        },
      ),
    );
  });

  it("holds the moment under the pointer where it is while zooming, at its limits too", () => {
    fc.assert(
      fc.property(span, fc.double({ min: 0.01, max: 100, noNaN: true }), share, (some, factor, at) => {
        const held = some.from + lengthOf(some) * at;
        const next = zoomed(some, factor, at);
        fc.pre(next.from > 0);
        expect(Math.abs((held - next.from) / lengthOf(next) - at)).toBeLessThan(1e-4);
      }),
    );
  });

  it("comes back by moving as far the other way", () => {
    fc.assert(
      fc.property(span, share, (some, by) => {
        const there = moved(some, by);
        fc.pre(there.from > 0);
        expect(Math.abs(moved(there, -by).from - some.from)).toBeLessThanOrEqual(1);
      }),
    );
  });

  it("keeps the moments under two fingers under them", () => {
    const some = { from: MAY, to: MAY + 10 * DAY };
    const next = pinched(some, [0.4, 0.6], [0.2, 0.8]);
    const at = (of: Span, place: number) => of.from + lengthOf(of) * place;
    expect(at(next, 0.2)).toBeCloseTo(at(some, 0.4), -1);
    expect(at(next, 0.8)).toBeCloseTo(at(some, 0.6), -1);
    // On one spot they only move it.
    expect(lengthOf(pinched(some, [0.5, 0.5], [0.6, 0.6]))).toBe(lengthOf(some));
  });

  it("is what was drawn out, from whichever side", () => {
    const some = { from: MAY, to: MAY + 10 * DAY };
    expect(between(some, 0.2, 0.5)).toEqual({ from: MAY + 2 * DAY, to: MAY + 5 * DAY });
    expect(between(some, 0.5, 0.2)).toEqual(between(some, 0.2, 0.5));
    expect(between(some, -0.5, 0.2)).toEqual({ from: MAY, to: MAY + 2 * DAY });
  });

  it("knows the set lengths, and reaches round all that is held", () => {
    for (const { id, ms } of PRESETS) expect(presetOf(endingAt(MAY, ms))).toBe(id);
    expect(presetOf({ from: MAY, to: MAY + 3 * DAY })).toBeNull();
    const all = allOf({ from: MAY, to: MAY + 100 * DAY }, MAY);
    expect(all).toEqual({ from: MAY - DAY, to: MAY + 101 * DAY });
    expect(allOf({ from: null, to: null }, MAY)).toEqual({ from: MAY - DAY, to: MAY });
  });

  it("shows the last ten years of a journal whose first readings have the clock of 1970", () => {
    expect(allOf({ from: 20_000, to: MAY }, MAY)).toEqual({ from: MAY - LONGEST_MS, to: MAY });
  });

  it("goes on with the time by a pixel or five seconds at once, and goes back with a clock that is set back", () => {
    const day = endingAt(MAY, DAY);
    expect(isOff(day, MAY + 86_399, 1000)).toBe(false);
    expect(isOff(day, MAY + 86_400, 1000)).toBe(true);
    expect(isOff(day, MAY - 30 * DAY, 1000)).toBe(true);
    expect(isOff(endingAt(MAY, SHORTEST_MS), MAY + 4999, 1000)).toBe(false);
    expect(isOff(endingAt(MAY, SHORTEST_MS), MAY + 5000, 1000)).toBe(true);
  });
});

describe("the address of a span", () => {
  it("gives the same span and channels back", () => {
    fc.assert(
      fc.property(
        span,
        fc.uniqueArray(fc.stringMatching(/^[a-z0-9][a-z0-9-]{0,9}$/), { maxLength: 6, minLength: 1 }),
        (some, ids) => {
          const query = Object.fromEntries(new URL(addressOf(some, ids), "http://station").searchParams);
          expect(wantedBy(query)).toEqual({ span: clamped(some), channels: ids });
        },
      ),
    );
  });

  it.each([
    [{}, null, null],
    [{ from: "yesterday", to: "2026-05-04T00:00:00Z" }, null, null],
    [{ from: "2026-05-04T00:00:00Z", to: "2026-05-04T00:00:00Z" }, null, null],
    [{ from: "2026-05-05T00:00:00Z", to: "2026-05-04T00:00:00Z", channels: ",," }, null, null],
    [{ channels: "a,b,a" }, null, ["a", "b"]],
  ])("takes nothing from %j that it cannot understand", (query, some, channels) => {
    expect(wantedBy(query)).toEqual({ span: some, channels });
  });

  it("asks for no more channels than are shown", () => {
    expect(wantedBy({ channels: "a,b,c,d,e,f,g,h" }).channels).toHaveLength(MOST_CHANNELS);
  });
});
