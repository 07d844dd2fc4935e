import { describe, expect, it } from "vitest";
import type { Unit } from "../../../station/model/quantity.js";
import { GIVE_UP_MS, judgeTouch, TOGETHER_MS, type Watched } from "../../../station/setup/touch.js";

/** A sample a second from ten seconds before it was asked. @param at what it shows that many seconds after */
function watched(key: string, at: (s: number) => number, unit: Unit = "Cel", until = 40): Watched {
  const samples = Array.from({ length: until + 11 }, (_, i) => ({ mono: i * 1000, value: at(i - 10) }));
  return { key, point: "temperature", unit, samples };
}
const SINCE = 10_000;
/** As it is `s` seconds after it was asked: nothing later has been read yet. */
const judged = (s: number, all: readonly Watched[]) => {
  const now = SINCE + s * 1000;
  const seen = all.map((each) => ({ ...each, samples: each.samples.filter(({ mono }) => mono <= now) }));
  return judgeTouch(seen, SINCE, now);
};
const still = watched("still", (s) => 20 + 0.0625 * (Math.abs(s) % 2));
const warmed = watched("warmed", (s) => 20 + Math.max(0, s - 3) * 0.4);

describe("which one was touched", () => {
  it("is the one that rose by more than 1.0 °C against its own last ten seconds", () => {
    expect(judged(3, [still, warmed])).toEqual({ state: "waiting", moved: [], leftMs: GIVE_UP_MS - 3000 });
    const seen = judged(6, [still, warmed]);
    expect(seen.state).toBe("waiting");
    expect(seen.moved.map(({ key }) => key)).toEqual(["warmed"]);
    const decided = judged(6 + TOGETHER_MS / 1000, [still, warmed]);
    expect(decided).toMatchObject({ state: "one", leftMs: 0 });
    expect(decided.moved).toMatchObject([{ key: "warmed", unit: "Cel" }]);
    expect(decided.moved[0]?.by).toBeCloseTo(2.8, 9);
  });

  it("is none where one rises by no more than 1.0 °C, however long it takes over it", () => {
    const slow = watched("slow", (s) => 20 + 0.09 * s);
    const step = watched("step", (s) => (s > 2 ? 21 : 20));
    expect(judged(29, [slow, step, still]).state).toBe("waiting");
    expect(judged(30, [slow, step, still])).toEqual({ state: "none", moved: [], leftMs: 0 });
  });

  it("is not one that cools down from the touch before", () => {
    const cooling = watched("cooling", (s) => 28 - 0.5 * (s + 10));
    expect(judged(30, [cooling, still]).state).toBe("none");
  });

  it("is one that was warmed within the ten seconds before anybody asked", () => {
    const before = watched("before", (s) => (s < -4 ? 20 : 26));
    expect(judged(0, [before]).moved).toEqual([{ key: "before", point: "temperature", unit: "Cel", by: 6 }]);
  });

  it("are several where another moves within four seconds, and not one that comes later", () => {
    const with3 = watched("with it", (s) => 20 + Math.max(0, s - 5) * 0.4);
    const verdict = judged(11, [still, with3, warmed]);
    expect(verdict.state).toBe("several");
    expect(verdict.moved.map(({ key }) => key)).toEqual(["warmed", "with it"]);
    const later = watched("later", (s) => 20 + Math.max(0, s - 12) * 2);
    expect(judged(20, [warmed, later])).toMatchObject({ state: "one", moved: [{ key: "warmed" }] });
  });

  it("is one thing that breath moves in both that it measures, told by the stronger", () => {
    const t = { ...watched("sensor", (s) => 20 + Math.max(0, s - 3) * 0.4), point: "temperature" };
    const rh = { ...watched("sensor", (s) => 45 + Math.max(0, s - 3) * 5, "%RH"), point: "humidity" };
    const verdict = judged(12, [t, rh, still]);
    expect(verdict.state).toBe("one");
    expect(verdict.moved).toMatchObject([{ key: "sensor", point: "humidity", unit: "%RH" }]);
  });

  it("is a switch by its first edge, either way, and none by an edge from before", () => {
    const lid = { ...watched("lid", (s) => (s >= 5 ? 0 : 1), "state"), point: "state" };
    expect(judged(9, [lid, still])).toMatchObject({ state: "one", moved: [{ key: "lid", by: -1 }] });
    const before = watched("before", (s) => (s >= -3 ? 1 : 0), "state");
    expect(judged(30, [before]).state).toBe("none");
  });

  it("is a fan that is turned by hand", () => {
    const fan = watched("fan", (s) => (s > 4 && s < 7 ? 90 : 0), "1/min");
    expect(judged(10, [fan])).toMatchObject({ state: "one", moved: [{ key: "fan", unit: "1/min", by: 90 }] });
  });

  it("is none where nothing is read at all", () => {
    expect(judgeTouch([], SINCE, SINCE + 1000).state).toBe("waiting");
    expect(judgeTouch([], SINCE, SINCE + GIVE_UP_MS).state).toBe("none");
  });
});
