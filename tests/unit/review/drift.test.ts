import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { ReviewRun } from "../../../station/model/review.js";
import { reviewDrift } from "../../../station/review/questions/drift.js";
import { BEGIN, cut, DAY_MS, EVERY, weekly } from "./drift-runs.js";

/** Speeds of twelve weeks with some noise, and then so many more at a share of them. */
const LEVEL = [20, 20.3, 19.8, 20.1, 19.9, 20.2, 19.7, 20, 20.1, 19.9, 20.2, 19.8];
const withLoss = (share: number, weeks = 10) => [
  ...LEVEL,
  ...Array.from({ length: weeks }, (_, i) => share * (LEVEL[i % LEVEL.length] as number)),
];
const ask = (runs: readonly ReviewRun[], marks: Parameters<typeof reviewDrift>[2] = []) =>
  reviewDrift(runs, EVERY, marks);

describe("whether the machine drifts", () => {
  it("finds a loss of 8 %, since when, and how large, with its limits", () => {
    const answer = ask(weekly(withLoss(0.92)));
    expect(answer.verdict).toBe("drifting");
    expect(answer.since).toBe(12);
    expect(answer.estimate).toBeCloseTo(0.92, 2);
    expect(answer.lower).toBeLessThan(0.92);
    expect(answer.upper).toBeGreaterThan(0.92);
    expect(answer.lower).toBeGreaterThan(0.9);
    expect(answer.upper).toBeLessThan(0.94);
    expect(answer.p).toBeNull();
    expect(answer.sentence).toContain(
      "Since about 25 May 2026 the machine gives about 8 % less than in March to May 2026 (limits ",
    );
    expect(answer.sentence).toContain("cannot be told by this alone");
    expect(answer.warnings.join(" ")).toContain("chosen by these same sessions");
    expect(answer.n).toBe(44);
    expect(answer.points).toHaveLength(22);
    expect(answer.points.slice(0, answer.baseline).every(({ mean }) => mean === null)).toBe(true);
    expect(answer.points.at(-1)).toMatchObject({ signals: true });
  });

  it("goes on saying so when there are many sessions since, and never takes them for the level", () => {
    const early = [...LEVEL.slice(0, 9), ...LEVEL, ...LEVEL].map((speed, i) =>
      i < 9 ? speed : 0.85 * speed,
    );
    for (const n of [16, 20, 24, 33])
      expect(ask(weekly(early.slice(0, n)))).toMatchObject({ verdict: "drifting", since: 9 });
    expect(ask(weekly(early)).baseline).toBeLessThan(10);
  });

  it("says where sessions tell too little", () => {
    const noisy = Array.from({ length: 30 }, (_, i) => 20 + ([0, 1.6, -1.2, 0.9, -1.7][i % 5] as number));
    expect(ask(weekly(noisy)).warnings.join(" ")).toContain("where each speed is cut two or three times");
    expect(ask(weekly(withLoss(1))).warnings.join(" ")).not.toContain("two or three times");
  });

  it("finds a gain as well", () => {
    const answer = ask(weekly(withLoss(1.1)));
    expect(answer).toMatchObject({ verdict: "drifting", since: 12 });
    expect(answer.sentence).toContain("10 % more than in");
  });

  it("says that it is over where all is as it was again", () => {
    const answer = ask(weekly([...withLoss(0.85, 5), ...LEVEL]));
    expect(answer).toMatchObject({ verdict: "drifting", since: 12 });
    expect(answer.sentence).toMatch(/^From about 25 May 2026 to .* the machine gave about 1[2-5] % less/);
    expect(answer.sentence).toContain("now it is back near that");
    expect(answer.points.at(-1)?.signals).toBe(false);
  });

  it("shows no sign of one where there is none, and says what it may still be", () => {
    const answer = ask(weekly(withLoss(1)));
    expect(answer).toMatchObject({ verdict: "no sign", since: null, baseline: 11 });
    expect(answer.lower).toBeLessThan(1);
    expect(answer.upper).toBeGreaterThan(1);
    expect(answer.sentence).toMatch(/^No sign that the machine is drifting/);
    expect(answer.points.every(({ signals }) => !signals)).toBe(true);
  });

  it("judges sessions that are all alike by how fine they can tell", () => {
    const answer = ask(weekly(Array.from({ length: 12 }, () => 20)));
    expect(answer).toMatchObject({ verdict: "no sign", estimate: expect.closeTo(1, 9) });
    expect(answer.lower).toBeLessThan(1);
    expect(answer.upper).toBeGreaterThan(1);
    expect(answer.sentence).toContain("about as much as in March to April 2026");
    const reachOf = (share: number) => {
      const { points, upper } = ask(
        weekly(
          Array.from({ length: 12 }, () => 20),
          undefined,
          share,
        ),
      );
      return { size: upper as number, chart: (points.at(-1)?.upper as number) / 20 };
    };
    // Two speeds that are 22 % apart tell less than two that are 4 %, and hardly any two tell more than 1 %.
    const [wide, fine, finest] = [reachOf(0.9), reachOf(0.98), reachOf(0.9999)];
    expect(wide.size - 1).toBeGreaterThan(3 * (fine.size - 1));
    expect(wide.chart - 1).toBeGreaterThan(3 * (fine.chart - 1));
    expect(finest.size).toBeGreaterThan(1.005);
    expect(finest.chart).toBeGreaterThan(1.02);
  });

  it("cannot tell from too few sessions, and says how many more are needed", () => {
    expect(ask([]).sentence).toBe(
      "Cannot tell yet: of Birch ply there are 0 sessions that show a speed, 6 more are needed.",
    );
    const answer = ask(weekly(LEVEL.slice(0, 5)));
    expect(answer).toMatchObject({ verdict: "cannot tell", baseline: 5, estimate: null, since: null });
    expect(answer.sentence).toContain("5 sessions that show a speed, 1 more is needed");
    expect(ask(weekly(LEVEL.slice(0, 6))).sentence).not.toContain("yet");
  });

  it("cannot tell where what is left may be a large change", () => {
    const wild = [20, 27, 15, 24, 17, 30, 14, 26];
    expect(ask(weekly(wild))).toMatchObject({ verdict: "cannot tell", since: null });
  });
});

describe("what lies near a change", () => {
  const loss = withLoss(0.9);
  const change = BEGIN + 12 * 7 * DAY_MS;

  it("names the upkeep before it and no other", () => {
    const marks = [
      { wall: change + DAY_MS, what: "Tube changed" },
      { wall: change - 3 * DAY_MS, what: "Mirror aligned" },
      { wall: BEGIN, what: "Optics cleaned" },
    ];
    const answer = ask(weekly(loss), marks);
    expect(answer.sentence).toContain("Upkeep shortly before: Mirror aligned (22 May 2026).");
    expect(answer.sentence).not.toContain("Tube changed");
    expect(answer.marks.map(({ what }) => what)).toEqual([
      "Optics cleaned",
      "Mirror aligned",
      "Tube changed",
    ]);
    expect(ask(weekly(loss)).sentence).toContain("No upkeep is on record shortly before that.");
  });

  it("says where the coolant differs, where it does not, and where it is not known", () => {
    const warm = (session: number) => ({ conditions: { coolant_C: session < 12 ? 19 : 22.5 } });
    expect(ask(weekly(loss, warm)).sentence).toContain(
      "The coolant was 3.5 °C warmer since (19.0 °C before, 22.5 °C since), which may be the cause.",
    );
    expect(ask(weekly(loss)).sentence).not.toContain("The coolant was");
    expect(ask(weekly(loss, () => ({ conditions: {} }))).sentence).toContain("The coolant is not known");
  });

  it("warns of a lot that was not cut before", () => {
    const other = (session: number) => ({ lot: session < 12 ? "A" : "B" });
    expect(ask(weekly(loss, other)).warnings.join(" ")).toContain(
      "1 lot of it (B) was not cut before the change",
    );
    expect(ask(weekly(loss)).warnings.join(" ")).not.toContain("was not cut before");
  });
});

describe("what a history of any kind comes to", () => {
  const numbers = (answer: ReturnType<typeof ask>) => [
    ...[answer.estimate, answer.lower, answer.upper, answer.p, answer.n, answer.since, answer.baseline],
    ...answer.points.flatMap(({ wall, speed_mm_s, mean, lower, upper }) => [
      ...[wall, speed_mm_s, mean, lower, upper],
    ]),
  ];
  const anyRun = fc.record({
    wall: fc.oneof(
      fc.constantFrom(null, 0, Number.NaN, Number.MAX_VALUE),
      fc.integer({ min: BEGIN, max: BEGIN + 400 * DAY_MS }),
    ),
    block: fc.constantFrom(null, "1", "2"),
    speed_mm_s: fc.oneof(
      fc.constantFrom(null, 0, -3, Number.NaN, Number.POSITIVE_INFINITY),
      fc.integer({ min: 14, max: 26 }),
    ),
    power_pct: fc.constantFrom(60, 60, 60, null),
    through: fc.constantFrom(true, false, null),
    conditions: fc.constantFrom({}, { coolant_C: Number.NaN }, { coolant_C: 20 }),
  });
  const history = fc
    .array(anyRun, { maxLength: 120 })
    .map((all) => all.map((one, i) => cut({ id: String(i), ...one })));

  it("has no number that is none, whatever is given, and says so in words", () => {
    fc.assert(
      fc.property(history, (runs) => {
        const answer = ask(runs, [{ wall: Number.NaN, what: "Optics cleaned" }]);
        for (const number of numbers(answer)) expect(number === null || Number.isFinite(number)).toBe(true);
        expect(`${answer.sentence} ${answer.warnings.join(" ")}`).not.toMatch(/NaN|undefined|Infinity|null/);
      }),
    );
  });

  it("does not depend on the order of the runs", () => {
    fc.assert(
      fc.property(
        history.chain((runs) =>
          fc.tuple(fc.constant(runs), fc.shuffledSubarray(runs, { minLength: runs.length })),
        ),
        ([runs, shuffled]) => {
          expect(ask(shuffled)).toEqual(ask(runs));
        },
      ),
    );
  });

  it("does not depend on the unit of speed", () => {
    const noisy = fc.array(fc.double({ min: -0.1, max: 0.1, noNaN: true }), { minLength: 4, maxLength: 30 });
    fc.assert(
      fc.property(noisy, fc.double({ min: 0.01, max: 60, noNaN: true }), (noise, unit) => {
        const speeds = noise.map((each, i) => Math.exp(each - (i > 14 ? 0.1 : 0)));
        const [one, other] = [ask(weekly(speeds)), ask(weekly(speeds.map((speed) => speed * unit)))];
        expect(other).toMatchObject({ verdict: one.verdict, since: one.since });
        if (one.estimate !== null) expect((other.estimate as number) / one.estimate).toBeCloseTo(1, 9);
        for (const [i, { mean }] of one.points.entries())
          if (mean !== null) expect((other.points[i]?.mean as number) / (unit * mean)).toBeCloseTo(1, 9);
      }),
    );
  });

  it("holds one run, all good ones, all bad ones and ten thousand at one moment", () => {
    const many = (over: (i: number) => Partial<ReviewRun>) =>
      Array.from({ length: 10_000 }, (_, i) => cut({ id: String(i), ...over(i) }));
    expect(ask([cut({ id: "1" })])).toMatchObject({ verdict: "cannot tell", points: [] });
    for (const through of [true, false]) {
      const answer = ask(many((i) => ({ through, wall: BEGIN + i * DAY_MS })));
      expect(answer).toMatchObject({ verdict: "cannot tell", points: [], n: 0 });
      expect(answer.warnings.join(" ")).toContain(
        `10000 sessions in which ${through ? "everything was through" : "nothing was"}`,
      );
    }
    expect(ask(many(() => ({ wall: null }))).warnings.join(" ")).toContain("10000 runs of which time");
    const ladder = many((i) => ({ speed_mm_s: 14 + (i % 13), through: i % 13 < 6 }));
    expect(ask(ladder).points).toHaveLength(1);
    expect(
      ask(many((i) => ({ ...ladder[i], id: String(i), wall: BEGIN + i * 3_600_000 }))).points.length,
    ).toBeGreaterThan(100);
  });
});
