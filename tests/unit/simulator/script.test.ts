import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { DEMO_FAULTS } from "../../../station/sources/bench-simulator/channels.js";
import { benchSimulatorEntrySchema } from "../../../station/sources/bench-simulator/entry.js";
import { createScript, DEMO_CYCLE_S } from "../../../station/sources/bench-simulator/script.js";

const scriptOf = (more: object = {}) =>
  createScript(benchSimulatorEntrySchema.parse({ id: "bench", driver: "bench-simulator", ...more }));

const anySeed = fc.integer({ min: 0, max: 4_294_967_295 });

/** Spans in which the laser is on with gaps of at most `joinS`, as [from, to] in seconds. */
function cuts(script: ReturnType<typeof scriptOf>, untilS: number, joinS: number): [number, number][] {
  const found: [number, number][] = [];
  for (let tenth = 0; tenth < untilS * 10; tenth += 1) {
    if (!script.at(tenth / 10).laserOn) continue;
    const last = found.at(-1);
    if (last !== undefined && tenth / 10 - last[1] <= joinS) last[1] = (tenth + 1) / 10;
    else found.push([tenth / 10, (tenth + 1) / 10]);
  }
  return found;
}

describe("the demo's cuts", () => {
  test("are runs of 20 s to 3 min in bursts, with pauses that tell them apart", () => {
    fc.assert(
      fc.property(anySeed, (seed) => {
        const script = scriptOf({ seed });
        const runs = cuts(script, DEMO_CYCLE_S, 8);
        expect(runs).toHaveLength(8);
        for (const [from, to] of runs) {
          expect(to - from).toBeGreaterThan(19.9);
          expect(to - from).toBeLessThan(180);
        }
        runs.slice(1).forEach(([from], i) => {
          expect(from - (runs[i]?.[1] ?? 0)).toBeGreaterThan(60);
        });
        expect(cuts(script, DEMO_CYCLE_S, 0.05).length).toBeGreaterThan(3 * runs.length);
      }),
      { numRuns: 60 },
    );
  });

  test("have the fan on well before and after, and the lid closed", () => {
    const script = scriptOf({ seed: 5 });
    let opened = 0;
    for (let tenth = 0; tenth < DEMO_CYCLE_S * 10; tenth += 1) {
      const { laserOn, lidOpen, fanPowered } = script.at(tenth / 10);
      if (lidOpen) opened += 1;
      if (!laserOn) continue;
      expect(lidOpen).toBe(false);
      expect(fanPowered).toBe(true);
      expect(script.at(tenth / 10 - 15).fanPowered).toBe(true);
      expect(script.at(tenth / 10 + 30).fanPowered).toBe(true);
    }
    expect(opened).toBeGreaterThan(0);
  });

  test("depend on the seed and the time alone, not on the order of asking", () => {
    fc.assert(
      fc.property(
        anySeed,
        fc.array(fc.integer({ min: 0, max: 200_000 }), { maxLength: 40 }),
        (seed, tenths) => {
          const script = scriptOf({ seed, faults: DEMO_FAULTS });
          for (const tenth of tenths) {
            const time = tenth / 10;
            expect(script.at(time)).toEqual(scriptOf({ seed, faults: DEMO_FAULTS }).at(time));
          }
        },
      ),
    );
    expect(cuts(scriptOf({ seed: 1 }), 600, 8)).not.toEqual(cuts(scriptOf({ seed: 2 }), 600, 8));
  });

  test("cover the stop of the fan and the end of the run-away, whatever the seed and however often it has come", () => {
    const [fan, coolant] = DEMO_FAULTS;
    if (fan === undefined || coolant === undefined) throw new Error("the demo has lost its faults");
    fc.assert(
      fc.property(anySeed, fc.integer({ min: 0, max: 20 }), (seed, round) => {
        const script = scriptOf({ seed });
        const lit = (at: number) => {
          // A burst may just be over; the gaps between bursts are at most 1.5 s.
          for (let tenth = -16; tenth <= 16; tenth += 1) {
            if (script.at(round * DEMO_CYCLE_S + at + tenth / 10).laserOn) return true;
          }
          return false;
        };
        expect(lit(fan.at_s)).toBe(true);
        expect(lit(fan.at_s + fan.for_s)).toBe(true);
        for (let at = coolant.at_s + coolant.for_s - 100; at <= coolant.at_s + coolant.for_s; at += 10) {
          expect(lit(at)).toBe(true);
        }
      }),
    );
  });
});

describe("a cutting schedule of one's own", () => {
  test("holds the laser on exactly as it says", () => {
    const script = scriptOf({ cutting: { first_at_s: 2.3, every_s: 5.1, for_s: 1.7 } });
    const expected = [2.3, 7.4, 12.5, 17.6].map((from) => [from, Math.round((from + 1.7) * 10) / 10]);
    expect(cuts(script, 20, 0.05)).toEqual(expected);
  });

  test("switches the fan on before the first cut and leaves it off in long pauses", () => {
    const script = scriptOf({ cutting: { first_at_s: 30, every_s: 200, for_s: 10 } });
    const at = (time: number) => script.at(time).fanPowered;
    expect([9.9, 10, 30, 84.9, 85, 209.9, 210].map(at)).toEqual([
      false,
      true,
      true,
      true,
      false,
      false,
      true,
    ]);
  });

  test("can be never, or always", () => {
    expect(cuts(scriptOf({ cutting: "never" }), 2000, 8)).toEqual([]);
    expect(cuts(scriptOf({ cutting: { first_at_s: 0, every_s: 10, for_s: 10 } }), 60, 0.05)).toEqual([
      [0, 60],
    ]);
  });
});

describe("scripted faults", () => {
  test("stand from their start up to their end, and again as they repeat", () => {
    const script = scriptOf({
      cutting: { first_at_s: 0, every_s: 10, for_s: 10 },
      faults: [
        { fault: "fan-stops", at_s: 1.1, for_s: 2 },
        { fault: "pump-stops", at_s: 4, for_s: 1, repeat_every_s: 10 },
        { fault: "coolant-runs-away", at_s: 6, for_s: 0.1 },
      ],
    });
    const seen = (time: number) => {
      const { fanPowered, pumpPowered, chillerRunsAway } = script.at(time);
      return [fanPowered, pumpPowered, chillerRunsAway];
    };
    expect(seen(1)).toEqual([true, true, false]);
    expect(seen(1.1)).toEqual([false, true, false]);
    expect(seen(3)).toEqual([false, true, false]);
    expect(seen(3.1)).toEqual([true, true, false]);
    expect([4, 4.9, 5, 14, 14.9, 15, 24].map((t) => script.at(t).pumpPowered)).toEqual([
      false,
      false,
      true,
      false,
      false,
      true,
      false,
    ]);
    expect([5.9, 6, 6.1].map((t) => script.at(t).chillerRunsAway)).toEqual([false, true, false]);
  });

  test("of a point touch that point only, and silence goes before unplugged", () => {
    const script = scriptOf({
      faults: [
        { fault: "sensor-silent", point: "room-humidity", at_s: 5, for_s: 5 },
        { fault: "probe-unplugged", point: "room-humidity", at_s: 0, for_s: 20 },
      ],
    });
    expect([0, 5, 9.9, 10, 20].map((t) => script.wire("room-humidity", t))).toEqual([
      "unplugged",
      "silent",
      "silent",
      "unplugged",
      "live",
    ]);
    expect(script.wire("room-temperature", 5)).toBe("live");
  });
});
