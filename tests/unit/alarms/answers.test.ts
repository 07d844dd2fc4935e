import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Answers, falteringWords, hear, NO_ANSWERS } from "../../../station/alarms/answers.js";
import type { Reading } from "../../../station/model/reading.js";
import { channel, faulty, good } from "./given.js";

const coolant = channel("coolant", "coolant-inlet");

const answer = (ok: boolean, seconds: number): Reading => {
  const { reading } = ok ? good(coolant, 20, seconds) : faulty(coolant, "crc-failed", seconds);
  if (reading === null) throw new Error("no reading was made");
  return reading;
};

/** Hears one reading every so many seconds: "+" good, "-" bad. */
const heard = (signs: string, everyS = 2, from: Answers = NO_ANSWERS, startS = 0): Answers =>
  [...signs].reduce((answers, sign, i) => hear(answers, answer(sign === "+", startS + i * everyS)), from);

describe("a sensor answers only now and then", () => {
  it.each([
    ["every second read fails", "+-".repeat(20), true],
    ["one in three fails", "++-".repeat(12), true],
    ["one in five fails", "++++-".repeat(8), true],
    ["one in eight fails", "+++++++-".repeat(8), false],
    ["none fails", "+".repeat(40), false],
    ["all fail", "-".repeat(40), false],
    ["one outage, then good again", `${"+".repeat(10)}${"-".repeat(8)}${"+".repeat(6)}`, false],
    ["a long outage, and one bad reading soon after it", `${"-".repeat(30)}++++-`, false],
    ["three bad readings of a slow one, and one more", "---+-", true, 60],
    ["a long outage, and a plug that is still loose", `${"-".repeat(30)}+-+-+-`, true],
    ["one bad reading", `${"+".repeat(20)}-+`, false],
    ["fewer readings than can be judged by", "-+-+", false],
    ["as few as can be judged by", "-+-++", true],
  ])("%s", (_, signs, faltering, everyS = 2) => {
    expect(heard(signs, everyS).faltering).toBe(faltering);
  });

  it.each([1, 2, 6, 60])(
    "but not for one bad reading after a long outage, however soon and for however long after it, read every %i s",
    (everyS) => {
      for (const good of [1, 2, 3, 4, 7]) {
        const signs = `${"-".repeat(40)}${"+".repeat(good)}-${"+".repeat(40)}`;
        for (let i = 1; i <= signs.length; i += 1)
          expect([good, i, heard(signs.slice(0, i), everyS).faltering]).toEqual([good, i, false]);
      }
    },
  );

  it("until every reading of the window is good", () => {
    const bad = heard("+-".repeat(10));
    expect(heard("+".repeat(14), 2, bad, 40).faltering).toBe(true);
    expect(heard("+".repeat(15), 2, bad, 40).faltering).toBe(false);
  });

  it("or until every one is bad: then it is plainly dead", () => {
    const bad = heard("+-".repeat(10));
    expect(heard("-".repeat(13), 2, bad, 40).faltering).toBe(true);
    expect(heard("-".repeat(14), 2, bad, 40).faltering).toBe(false);
  });

  it("and a slow one is judged by its last five readings, however long they took", () => {
    const slow = heard("+-+-+", 60);
    expect(slow).toMatchObject({ faltering: true, lastValueMono: 240_000 });
    expect(heard("+++", 60, slow, 300).faltering).toBe(true);
    expect(heard("++++", 60, slow, 300).faltering).toBe(false);
  });

  it("in words, with how many and the latest reason", () => {
    expect(falteringWords(heard("+-".repeat(10)))).toBe(
      "answers only now and then: 8 of the last 15 readings were bad (its checksum was wrong)",
    );
    expect(falteringWords(heard("+".repeat(13), 2, heard("+-".repeat(10)), 40))).toBe(
      "answers only now and then: 1 of the last 15 readings was bad (its checksum was wrong)",
    );
  });
});

describe("hearing", () => {
  it("counts a reading once, however often it is shown", () => {
    const once = hear(NO_ANSWERS, answer(false, 1));
    expect(hear(once, answer(false, 1))).toBe(once);
  });

  it("takes two different readings of one millisecond for two", () => {
    expect(hear(hear(NO_ANSWERS, answer(false, 1)), answer(true, 1)).recent).toHaveLength(2);
  });

  it("does not take having read nothing yet for an answer, but takes falling silent for a bad one", () => {
    expect(hear(NO_ANSWERS, null)).toBe(NO_ANSWERS);
    expect(hear(NO_ANSWERS, faulty(coolant, "never-read", 0).reading)).toBe(NO_ANSWERS);
    const silent = hear(heard("++"), faulty(coolant, "stale", 12).reading);
    expect(silent.recent.at(-1)?.reason).toBe("stale");
    expect(silent.lastValueMono).toBe(2000);
  });

  it("takes an uncertain reading for an answer", () => {
    expect(hear(NO_ANSWERS, faulty(coolant, "sudden-jump", 3).reading)).toMatchObject({
      lastValueMono: 3000,
      faltering: false,
    });
  });

  it("keeps 30 s, at least five readings and at most 120, whatever comes", () => {
    const step = fc.record({ afterMs: fc.nat(12_000), ok: fc.boolean() });
    const fast = fc.record({ afterMs: fc.nat(50), ok: fc.boolean() });
    const anySteps = fc.oneof(
      fc.array(step, { maxLength: 60 }),
      fc.array(fast, { minLength: 100, maxLength: 300 }),
    );
    fc.assert(
      fc.property(anySteps, (steps) => {
        let answers = NO_ANSWERS;
        let seconds = 0;
        const all: Reading[] = [];
        for (const { afterMs, ok } of steps) {
          // At least a millisecond apart, so that no two are the same reading.
          seconds += (afterMs + 1) / 1000;
          all.push(answer(ok, seconds));
          answers = hear(answers, answer(ok, seconds));
        }
        const { recent } = answers;
        expect(recent).toEqual(all.slice(all.length - recent.length));
        expect(recent.length).toBeLessThanOrEqual(120);
        const young = all.filter(({ at }) => at.mono > seconds * 1000 - 30_000).length;
        expect(recent.length).toBe(Math.min(all.length, 120, Math.max(5, young)));
      }),
      { numRuns: 60 },
    );
  });
});
