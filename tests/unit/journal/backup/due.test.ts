import { describe, expect, it } from "vitest";
import {
  type DueFacts,
  isDue,
  lastTimeOfDay,
  nextTimeOfDay,
} from "../../../../station/journal/backup/due.js";

/** In the time of the machine that runs the test, as the station goes by its own. */
const local = (day: number, hours: number, minutes = 0) => new Date(2026, 4, day, hours, minutes).getTime();
const facts = (changes: Partial<DueFacts>): DueFacts => ({
  wall: local(5, 9),
  mono: 10_000_000,
  startedMono: 0,
  clock: "synchronised",
  goodWalls: [],
  failedMono: null,
  at: "03:30",
  ...changes,
});

describe("the last time of day", () => {
  it("is today's once it has come, else yesterday's", () => {
    expect(lastTimeOfDay(local(5, 9), "03:30")).toBe(local(5, 3, 30));
    expect(lastTimeOfDay(local(5, 3, 30), "03:30")).toBe(local(5, 3, 30));
    expect(lastTimeOfDay(local(5, 3, 29), "03:30")).toBe(local(4, 3, 30));
    expect(lastTimeOfDay(local(1, 0), "23:59")).toBe(new Date(2026, 3, 30, 23, 59).getTime());
  });
});

describe("the next time of day", () => {
  it("is tomorrow's once today's has come", () => {
    expect(nextTimeOfDay(local(5, 9), "03:30")).toBe(local(6, 3, 30));
    expect(nextTimeOfDay(local(5, 3, 30), "03:30")).toBe(local(6, 3, 30));
    expect(nextTimeOfDay(local(5, 3, 29), "03:30")).toBe(local(5, 3, 30));
    expect(nextTimeOfDay(local(31, 23, 59), "23:58")).toBe(new Date(2026, 5, 1, 23, 58).getTime());
  });
});

describe("a backup is due", () => {
  it("where there is none, or the last good one is from before the last time of day", () => {
    expect(isDue(facts({}))).toBe(true);
    expect(isDue(facts({ goodWalls: [local(5, 3, 29)] }))).toBe(true);
    expect(isDue(facts({ goodWalls: [local(1, 3, 30)] }))).toBe(true);
  });

  it("not where one was made since, nor where its time is still to come", () => {
    expect(isDue(facts({ goodWalls: [local(5, 3, 30)] }))).toBe(false);
    expect(isDue(facts({ wall: local(5, 2), goodWalls: [local(4, 4)] }))).toBe(false);
  });

  it("not in the first two minutes of the station, nor within an hour of one that failed", () => {
    expect(isDue(facts({ startedMono: 10_000_000 - 119_000 }))).toBe(false);
    expect(isDue(facts({ startedMono: 10_000_000 - 120_000 }))).toBe(true);
    expect(isDue(facts({ failedMono: 10_000_000 - 3_599_000 }))).toBe(false);
    expect(isDue(facts({ failedMono: 10_000_000 - 3_600_000 }))).toBe(true);
  });

  it("where the only ones are of a time to come, which a clock that was wrong has made", () => {
    expect(isDue(facts({ goodWalls: [local(7, 9)] }))).toBe(true);
    expect(isDue(facts({ goodWalls: [local(7, 9), local(5, 8)] }))).toBe(false);
  });

  it("only after an hour while the clock is not set", () => {
    const unset = facts({ clock: "not synchronised" });
    expect(isDue({ ...unset, startedMono: unset.mono - 3_599_000 })).toBe(false);
    expect(isDue({ ...unset, startedMono: unset.mono - 3_600_000 })).toBe(true);
    expect(isDue(facts({ clock: "unknown", startedMono: unset.mono - 120_000 }))).toBe(true);
  });
});
