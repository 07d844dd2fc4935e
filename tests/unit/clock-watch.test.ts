import fc from "fast-check";
import { expect, it } from "vitest";
import { createClockWatch } from "../../station/clock-watch.js";
import type { ClockState, ClockStep } from "../../station/model/instant.js";

const HOUR = 3_600_000;
const at = (mono: number, ahead: number) => ({ wall: mono + ahead, mono });

it("tells each step once, forward and back, with the state before and after", () => {
  const watch = createClockWatch(at(1000, 0), "not synchronised");
  expect(watch.look(at(1500, 0), "not synchronised")).toBeNull();
  expect(watch.look(at(2000, HOUR), "not synchronised")).toEqual({
    at: at(2000, HOUR),
    shiftMs: HOUR,
    before: "not synchronised",
    after: "not synchronised",
  });
  expect(watch.look(at(2500, HOUR), "not synchronised")).toBeNull();
  expect(watch.look(at(3000, HOUR), "synchronised")).toMatchObject({ shiftMs: 0, after: "synchronised" });
  expect(watch.look(at(3500, -HOUR), "synchronised")).toMatchObject({ shiftMs: -2 * HOUR });
});

it("takes the jitter of two readings for no step, and small portions for one once they add up", () => {
  const watch = createClockWatch(at(0, 0), "synchronised");
  const told: ClockStep[] = [];
  for (let second = 1; second <= 120; second++) {
    const jitter = second % 2;
    const step = watch.look(at(1000 * second, 10 * second + jitter), "synchronised");
    if (step !== null) told.push(step);
  }
  expect(told.map(({ shiftMs }) => Math.round(shiftMs / 10))).toEqual([51, 51]);
});

it("adds up to where the clock is, to within what counts as the same", () => {
  const looks = fc.array(
    fc.record({
      shift: fc.oneof(fc.integer({ min: -600, max: 600 }), fc.integer({ min: -40 * HOUR, max: 40 * HOUR })),
      state: fc.constantFrom<ClockState>("synchronised", "not synchronised", "unknown"),
    }),
  );
  fc.assert(
    fc.property(looks, (all) => {
      const watch = createClockWatch(at(0, 0), "unknown");
      let ahead = 0;
      let told = 0;
      let state: ClockState = "unknown";
      for (const [i, { shift, state: next }] of all.entries()) {
        ahead += shift;
        const step = watch.look(at(1000 * i, ahead), next);
        told += step?.shiftMs ?? 0;
        if (step !== null) expect(step.before).toBe(state);
        else expect(next).toBe(state);
        state = next;
        expect(watch.ahead()).toBe(told);
        expect(Math.abs(ahead - told)).toBeLessThanOrEqual(500);
      }
    }),
  );
});
