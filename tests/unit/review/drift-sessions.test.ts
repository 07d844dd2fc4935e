import { describe, expect, it } from "vitest";
import { reviewDrift } from "../../../station/review/questions/drift.js";
import { sessionsOf } from "../../../station/review/questions/drift-sessions.js";
import { BEGIN, cut, DAY_MS, EVERY, weekly } from "./drift-runs.js";

const HOUR_MS = 3_600_000;
const ladder = (through: string, over = {}) =>
  [...through].map((letter, i) =>
    cut({
      id: String(i),
      speed_mm_s: 16 + 2 * i,
      through: letter === "x",
      wall: BEGIN + i * 60_000,
      ...over,
    }),
  );

describe("the speed that still cuts, of a session", () => {
  it("is midway in the logarithm between the fastest cut through and the slowest above it that was not", () => {
    const { told, warnings } = sessionsOf(ladder("xxo"));
    expect(told).toHaveLength(1);
    expect(Math.exp(told[0]?.logSpeed ?? 0)).toBeCloseTo(Math.sqrt(18 * 20), 9);
    expect(told[0]?.gap).toBeCloseTo(Math.log(20 / 18), 9);
    expect(warnings).toEqual([]);
  });

  it("is that of a curve where there are enough cuts", () => {
    const { told } = sessionsOf(ladder("xxxoxoo"));
    const speed = Math.exp(told[0]?.logSpeed ?? 0);
    // Midway would be between 24 and 26.
    expect(speed).toBeGreaterThan(21);
    expect(speed).toBeLessThan(25);
    expect(told[0]?.gap).toBeGreaterThan(0);
  });

  it("is only a bound where everything was through, or nothing was", () => {
    expect(sessionsOf(ladder("xxx"))).toMatchObject({
      told: [],
      bounds: [{ through: true, speed_mm_s: 20 }],
      warnings: [expect.stringContaining("1 session in which everything was through;")],
    });
    expect(sessionsOf(ladder("ooo"))).toMatchObject({
      told: [],
      bounds: [{ through: false, speed_mm_s: 16 }],
    });
  });

  it("is not told where only a faster one was through", () => {
    expect(sessionsOf(ladder("oox"))).toMatchObject({
      told: [],
      bounds: [],
      warnings: [
        expect.stringContaining("1 session in which the fastest cut was through and a slower one was not"),
      ],
    });
  });

  it("is of one power and number of passes, the ones that came most often", () => {
    const other = ladder("xo", { power_pct: 80 }).map((run) => ({ ...run, id: `other ${run.id}` }));
    const { told, warnings } = sessionsOf([...other, ...ladder("xxo")]);
    expect(told).toHaveLength(1);
    expect(told[0]?.runs).toHaveLength(3);
    expect(warnings).toEqual(["Left out: 2 runs at another power or number of passes than most."]);
  });
});

describe("what is one session", () => {
  const times = (hours: readonly number[], block: (i: number) => string | null = () => null) =>
    hours.flatMap((hour, i) =>
      [true, false].map((through) =>
        cut({
          id: `${i} ${through}`,
          wall: BEGIN + hour * HOUR_MS,
          block: block(i),
          through,
          speed_mm_s: through ? 19 : 21,
        }),
      ),
    );

  it("is what is cut within 12 hours of its first cut", () => {
    expect(sessionsOf(times([0, 6, 11.9])).told).toHaveLength(1);
    expect(sessionsOf(times([0, 6, 12, 18])).told.map(({ wall }) => (wall - BEGIN) / HOUR_MS)).toEqual([
      0, 12,
    ]);
  });

  it("is a block, over a night too, and two blocks are two sessions", () => {
    expect(sessionsOf(times([0, 20], () => "1")).told).toHaveLength(1);
    expect(sessionsOf(times([0, 1], (i) => String(i))).told).toHaveLength(2);
    // Another plan's block of the same name.
    expect(sessionsOf(times([0, 24 * 30], () => "1")).told).toHaveLength(2);
  });
});

describe("sessions that show no speed", () => {
  const level = Array.from({ length: 14 }, (_, i) => 20 + 0.2 * (i % 3));
  const at = (i: number) => BEGIN + (100 + i) * DAY_MS;

  it("speak against a chart that does not signal", () => {
    const none = [0, 1].map((i) => cut({ id: `none ${i}`, wall: at(i), speed_mm_s: 12, through: false }));
    const answer = reviewDrift([...weekly(level), ...none], EVERY, []);
    expect(answer.verdict).toBe("cannot tell");
    expect(answer.warnings.join(" ")).toContain("In 2 sessions nothing was through");
    const all = [cut({ id: "all", wall: at(0), speed_mm_s: 30, through: true })];
    expect(reviewDrift([...weekly(level), ...all], EVERY, []).warnings.join(" ")).toContain(
      "In 1 session everything was through, at speeds well above",
    );
  });

  it("do not where they agree with it", () => {
    const plain = [
      cut({ id: "slow", wall: at(0), speed_mm_s: 12, through: true }),
      cut({ id: "fast", wall: at(1), speed_mm_s: 30, through: false }),
    ];
    expect(reviewDrift([...weekly(level), ...plain], EVERY, []).verdict).toBe("no sign");
  });
});
