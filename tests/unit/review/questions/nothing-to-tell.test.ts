import { describe, expect, it } from "vitest";
import { REVIEW_CONDITIONS, type ReviewRun } from "../../../../station/model/review.js";
import { reviewConditions } from "../../../../station/review/questions/conditions.js";
import { reviewRows } from "../../../../station/review/questions/rows.js";
import { history } from "../../../bench/histories.js";

const season = history({ runs: 48, ratio: 1.1 }, 3, 1);
const without = (change: Partial<ReviewRun>) => season.map((run) => ({ ...run, ...change }));
const withCoolant = (coolant_C: number) =>
  season.map((run) => ({ ...run, conditions: { ...run.conditions, coolant_C } }));

const CASES: Readonly<Record<string, { readonly runs: readonly ReviewRun[]; readonly says: RegExp }>> = {
  "no run": {
    runs: [],
    says: /^Coolant: cannot tell\. There are no runs whose speed and outcome are known\.$/,
  },
  "one run": { runs: season.slice(0, 1), says: /Every run went through/ },
  "all good": {
    runs: without({ through: true }),
    says: /Every run went through: there is nothing to explain/,
  },
  "all bad": { runs: without({ through: false }), says: /No run went through: there are none to hold/ },
  "one bad": {
    runs: season.map((run, i) => ({ ...run, through: i !== 5 })),
    says: /Only one run did not go through: 2 of each are the fewest/,
  },
  "a condition that never changed": { runs: withCoolant(20), says: /It was the same in every run/ },
  "a condition that is never known": { runs: without({ conditions: {} }), says: /It was never measured/ },
  "a reading that is no number": { runs: withCoolant(Number.NaN), says: /It was never measured/ },
  "no outcome told": { runs: without({ through: null }), says: /There are no runs whose speed and outcome/ },
  "no speed told": { runs: without({ speed_mm_s: null }), says: /There are no runs whose speed and outcome/ },
  "a speed of nothing": {
    runs: without({ speed_mm_s: 0 }),
    says: /There are no runs whose speed and outcome/,
  },
};

describe.each(Object.entries(CASES))("review of %s", (_, { runs, says }) => {
  const rows = reviewRows(runs, REVIEW_CONDITIONS, []);

  it("says what cannot be told, and why", () => {
    const coolant = rows.find(({ subject, run }) => subject === "coolant_C" && run === undefined);
    expect(coolant?.verdict).toBe("cannot tell");
    expect(coolant?.sentence).toMatch(says);
  });

  it("has a sentence everywhere, and no number that is none", () => expectSound(rows));
});

describe("review of much", () => {
  it("tells 40 conditions, of which one moves with another", () => {
    const names = Array.from({ length: 40 }, (_, i) => `c${i}`);
    const conditions = Object.fromEntries(names.map((name) => [name, { name, unit: "", decimals: 1 }]));
    const runs = season.map((run, i) => ({
      ...run,
      conditions: Object.fromEntries(names.map((name, k) => [name, Math.sin(i * (k + 1.3) + k * 77.7)])),
    }));
    const moved = runs.map((run) => ({
      ...run,
      conditions: { ...run.conditions, c39: (run.conditions.c3 as number) * 2 },
    }));
    const answer = reviewConditions(moved, conditions, []);
    expect(answer.conditions).toHaveLength(40);
    expect(answer.together.some(({ conditions: its }) => its.includes("c3") && its.includes("c39"))).toBe(
      true,
    );
    expectSound(answer);
  });

  it("tells 10,000 runs", () => {
    const answer = reviewConditions(
      history({ runs: 10_000, effects: { coolant_C: -0.3 } }, 85, 1),
      REVIEW_CONDITIONS,
      [],
    );
    expect(answer.n).toBe(10_000);
    expect(answer.conditions.find(({ condition }) => condition === "coolant_C")?.verdict).toBe("explains");
    expectSound(answer);
  });
});

function expectSound(answer: unknown): void {
  const text = JSON.stringify(answer, (_, value: unknown) => {
    if (typeof value === "number" && !Number.isFinite(value)) throw new Error(`${value} in the answer`);
    return value;
  });
  expect(text).not.toMatch(/NaN|Infinity|undefined|\bnull [^,"]/);
  expect(text).not.toMatch(/"sentence":""/);
}
