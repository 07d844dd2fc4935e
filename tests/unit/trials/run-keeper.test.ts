import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Instant } from "../../../station/model/instant.js";
import type { Reading } from "../../../station/model/reading.js";
import { createRunKeeper } from "../../../station/trials/run-keeper.js";

const at = (mono: number): Instant => ({ wall: 1_700_000_000_000 + mono, mono });
const input = (mono: number, value: 0 | 1 | null): Reading => ({
  channel: "input",
  at: at(mono),
  value,
  quality: value === null ? "bad" : "good",
  reason: value === null ? "unplugged" : null,
});

describe("when a run begins and ends", () => {
  it("begins with the laser and ends when it went off, once the gap has passed", () => {
    const keeper = createRunKeeper({ joinGapMs: 8_000 });
    expect(keeper.laser(input(1_000, 1))).toEqual([{ step: "begin", at: at(1_000), cause: "laser-on" }]);
    expect(keeper.laser(input(5_000, 0))).toEqual([{ step: "mark", at: at(5_000) }]);
    expect(keeper.tick(at(12_999))).toEqual([]);
    expect(keeper.tick(at(13_000))).toEqual([{ step: "end", at: at(5_000), cause: "laser-on" }]);
    expect(keeper.cause()).toBeNull();
  });

  it("joins gaps shorter than the set time", () => {
    const keeper = createRunKeeper({ joinGapMs: 8_000 });
    keeper.laser(input(1_000, 1));
    keeper.laser(input(5_000, 0));
    expect(keeper.laser(input(12_900, 1))).toEqual([{ step: "unmark" }]);
    expect(keeper.tick(at(30_000))).toEqual([]);
    expect(keeper.cause()).toBe("laser-on");
  });

  it("begins another run where the gap ran out between two ticks", () => {
    const keeper = createRunKeeper({ joinGapMs: 8_000 });
    keeper.laser(input(1_000, 1));
    keeper.laser(input(5_000, 0));
    expect(keeper.laser(input(13_100, 1))).toEqual([
      { step: "end", at: at(5_000), cause: "laser-on" },
      { step: "begin", at: at(13_100), cause: "laser-on" },
    ]);
  });

  it("does not end a run that a person began when the laser goes off", () => {
    const keeper = createRunKeeper({ joinGapMs: 1_000 });
    expect(keeper.begin(at(0))).toEqual([{ step: "begin", at: at(0), cause: "screen" }]);
    expect(keeper.laser(input(1_000, 1))).toEqual([]);
    expect(keeper.laser(input(2_000, 0))).toEqual([]);
    expect(keeper.tick(at(60_000))).toEqual([]);
    expect(keeper.end(at(61_000))).toEqual([{ step: "end", at: at(61_000), cause: "screen" }]);
  });

  it("does not begin again by itself while the laser that it was ended under stays on", () => {
    const keeper = createRunKeeper({ joinGapMs: 1_000 });
    keeper.laser(input(0, 1));
    expect(keeper.end(at(500))).toMatchObject([{ step: "end", cause: "screen" }]);
    expect(keeper.laser(input(1_000, 1))).toEqual([]);
    keeper.laser(input(2_000, 0));
    expect(keeper.laser(input(3_000, 1))).toMatchObject([{ step: "begin" }]);
  });

  it("takes a laser input that dies as off from then on", () => {
    const keeper = createRunKeeper({ joinGapMs: 1_000 });
    keeper.laser(input(0, 1));
    expect(keeper.laser(input(700, null))).toEqual([{ step: "mark", at: at(700) }]);
    expect(keeper.tick(at(1_700))).toEqual([{ step: "end", at: at(700), cause: "laser-on" }]);
  });

  it("toggles by the foot switch, on the press and not on the release", () => {
    const keeper = createRunKeeper({ joinGapMs: 1_000 });
    expect(keeper.footSwitch(input(0, 0))).toEqual([]);
    expect(keeper.footSwitch(input(100, 1))).toEqual([{ step: "begin", at: at(100), cause: "foot-switch" }]);
    expect(keeper.footSwitch(input(200, 1))).toEqual([]);
    expect(keeper.footSwitch(input(300, 0))).toEqual([]);
    expect(keeper.footSwitch(input(400, 1))).toEqual([{ step: "end", at: at(400), cause: "foot-switch" }]);
  });

  it("does not take a foot switch that comes back after a fault for a press", () => {
    const keeper = createRunKeeper({ joinGapMs: 1_000 });
    keeper.footSwitch(input(0, 0));
    expect(keeper.footSwitch(input(50, 1))).toMatchObject([{ step: "begin" }]);
    keeper.footSwitch(input(100, null));
    expect(keeper.footSwitch(input(200, 1))).toEqual([]);
  });

  it("does not take a pedal that is down from the start for a press", () => {
    const keeper = createRunKeeper({ joinGapMs: 1_000 });
    expect(keeper.footSwitch(input(0, null))).toEqual([]);
    expect(keeper.footSwitch(input(100, 1))).toEqual([]);
    keeper.footSwitch(input(200, 0));
    expect(keeper.footSwitch(input(300, 1))).toMatchObject([{ step: "begin" }]);
  });

  it("refuses a second beginning and an end of nothing", () => {
    const keeper = createRunKeeper({ joinGapMs: 1_000 });
    expect(keeper.end(at(0))).toEqual([]);
    keeper.begin(at(1));
    expect(keeper.begin(at(2))).toEqual([]);
  });

  it("never opens twice or closes twice, whatever happens, and never ends before it began", () => {
    const event = fc.record({
      what: fc.constantFrom("begin", "end", "laser", "pedal", "tick" as const),
      gap: fc.integer({ min: 0, max: 5_000 }),
      value: fc.constantFrom(0, 1, null),
    });
    fc.assert(
      fc.property(fc.array(event, { maxLength: 60 }), (events) => {
        const keeper = createRunKeeper({ joinGapMs: 2_000 });
        let mono = 0;
        let openedAt: number | null = null;
        for (const { what, gap, value } of events) {
          mono += gap;
          const steps =
            what === "begin"
              ? keeper.begin(at(mono))
              : what === "end"
                ? keeper.end(at(mono))
                : what === "laser"
                  ? keeper.laser(input(mono, value))
                  : what === "pedal"
                    ? keeper.footSwitch(input(mono, value))
                    : keeper.tick(at(mono));
          for (const step of steps) {
            if (step.step === "begin") {
              expect(openedAt).toBeNull();
              openedAt = step.at.mono;
            }
            if (step.step === "end") {
              expect(openedAt).not.toBeNull();
              expect(step.at.mono).toBeGreaterThanOrEqual(openedAt ?? Number.POSITIVE_INFINITY);
              openedAt = null;
            }
          }
          expect(keeper.cause() !== null).toBe(openedAt !== null);
        }
      }),
    );
  });
});
