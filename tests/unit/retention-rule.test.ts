import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { GRACE_MS, type RuleChange, ruleAt } from "../../station/retention-rule.js";

const DAY = 86_400_000;
const NOW = Date.UTC(2030, 0, 1);

const at = (daysAgo: number, days: number | null): RuleChange => ({ wall: NOW - daysAgo * DAY, days });

describe("the rule of how long readings keep their full resolution", () => {
  it.each<[string, readonly RuleChange[], number | null, number | null, number | null]>([
    ["that no journal has kept yet waits from now on", [], 730, null, NOW + GRACE_MS],
    ["that was brought in two days ago waits five more", [at(2, 730)], 730, null, NOW + 5 * DAY],
    ["that has stood for a week is in force", [at(7, 730)], 730, 730, null],
    ["that was made longer is in force at once", [at(100, 60), at(1, 730)], 730, 730, null],
    [
      "that was made shorter is not yet: the longer one is",
      [at(100, 730), at(1, 60)],
      60,
      730,
      NOW + 6 * DAY,
    ],
    [
      "that was a wrong number for a day has taken nothing",
      [at(100, 730), at(3, 30), at(2, 730)],
      730,
      730,
      null,
    ],
    [
      "that was given up and taken up again waits",
      [at(100, 60), at(3, null), at(1, 60)],
      60,
      null,
      NOW + 6 * DAY,
    ],
    [
      "that is shorter than the journal was told waits from the next start",
      [at(9, 730)],
      60,
      730,
      NOW + GRACE_MS,
    ],
    ["that a clock ahead of time has dated waits for that time", [at(-50, 60)], 60, null, NOW + 57 * DAY],
  ])("%s", (_words, changes, configured, inForce, from) => {
    expect(ruleAt(changes, configured, NOW)).toEqual({ inForce, from });
  });

  it("takes nothing away that any rule of the last week would have kept", () => {
    const someDays = fc.option(fc.integer({ min: 30, max: 400 }), { nil: null });
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.double({ min: 0.01, max: 30, noNaN: true }), someDays)),
        someDays,
        (raw, days) => {
          const changes = raw.map(([ago, of]) => at(ago, of)).sort((a, b) => a.wall - b.wall);
          const { inForce } = ruleAt(changes, days, NOW);
          for (let ago = 0; ago <= 7; ago += 0.25) {
            const stood =
              ago === 0 ? days : (changes.findLast(({ wall }) => wall <= NOW - ago * DAY)?.days ?? null);
            expect(inForce ?? Number.POSITIVE_INFINITY).toBeGreaterThanOrEqual(
              stood ?? Number.POSITIVE_INFINITY,
            );
          }
        },
      ),
    );
  });
});
