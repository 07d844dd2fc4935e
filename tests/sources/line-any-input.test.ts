import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { seeLevel, settle, settlesAt, UNSETTLED } from "../../station/sources/digital-input/parse.js";
import { type Chip, pickChip } from "../../station/sources/gpio/pick-line.js";
import {
  beginCount,
  countPulse,
  MAX_PULSES,
  noteLevel,
  type PulseCount,
  readCount,
} from "../../station/sources/tachometer/parse.js";

describe("debouncing: all levels at all times", () => {
  const looks = fc.array(fc.tuple(fc.constantFrom<0 | 1>(0, 1), fc.nat(100)), {
    minLength: 1,
    maxLength: 50,
  });

  test("a level counts exactly when it has stood for the debounce time", () => {
    fc.assert(
      fc.property(looks, fc.nat(60), (steps, debounceMs) => {
        let state = UNSETTLED;
        let at = 0;
        let stoodSince = 0;
        let level: 0 | 1 | null = null;
        let settled: 0 | 1 | null = null;
        for (const [next, pause] of steps) {
          at += pause;
          if (level !== null && at - stoodSince >= debounceMs) settled = level;
          if (next !== level) {
            level = next;
            stoodSince = at;
          }
          if (debounceMs === 0) settled = level;
          state = seeLevel(state, next, at, debounceMs);
          expect(state.settled).toBe(settled);
          const due = settlesAt(state, debounceMs);
          if (due !== null) expect(settle(state, due, debounceMs).settled).toBe(next);
        }
      }),
    );
  });
});

describe("counting: all pulses at all times", () => {
  test("the speed is a number ≥ 0, and no more pulses are held than the limit", () => {
    const happenings = fc.array(
      fc.tuple(fc.integer({ min: 0, max: 3000 }), fc.integer({ min: 0, max: 500 })),
      { maxLength: 20 },
    );
    fc.assert(
      fc.property(happenings, fc.boolean(), (steps, idleHigh) => {
        let count: PulseCount = beginCount(0);
        let at = 0;
        for (const [pause, pulses] of steps) {
          for (let i = 0; i < pulses; i += 1) count = countPulse(count, at + (pause * i) / 500);
          at += pause;
          count = noteLevel(count, 0, at, 2000);
          const read = readCount(count, at, { windowMs: 2000, pulsesPerUnit: 2, idleHigh, reliableHz: 40 });
          if (read !== null && "perMinute" in read) expect(read.perMinute).toBeGreaterThanOrEqual(0);
          expect(count.pulses.length).toBeLessThanOrEqual(MAX_PULSES);
        }
      }),
      { numRuns: 30 },
    );
  });
});

describe("lines", () => {
  test("all chips: a number on the chip that was meant, or words and what to do", () => {
    const chip: fc.Arbitrary<Chip> = fc.record({
      label: fc.constantFrom("pinctrl-bcm2711", "pinctrl-rp1", "raspberrypi-exp-gpio", "gpio-sim"),
      lines: fc.integer({ min: 1, max: 64 }),
    });
    const wanted = fc.option(fc.constantFrom("pinctrl-bcm2711", "rp1", "none"), { nil: undefined });
    fc.assert(
      fc.property(fc.array(chip, { maxLength: 4 }), wanted, fc.nat(100), (chips, label, line) => {
        const found = pickChip(chips, { chip: label, line }, { detail: "no chip", mend: "another kernel" });
        if (found.ok) {
          expect(chips).toContain(found.chip);
          expect(line).toBeLessThan(found.chip.lines);
        } else {
          expect(found.detail).not.toBe("");
          expect(found.mend).not.toBe("");
        }
      }),
    );
  });
});
