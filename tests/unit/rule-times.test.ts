import { describe, expect, it } from "vitest";
import type { KeptClockStep, KeptSession } from "../../station/journal/reader-calls.js";
import type { ClockState } from "../../station/model/instant.js";
import { changedWall } from "../../station/rule-times.js";

const begun = (
  session: number,
  boot: string,
  wall: number,
  mono: number,
  clock: ClockState,
): KeptSession => ({
  ...{ session, start: `s${session}`, bootId: boot, at: { wall, mono }, clock },
  ...{ version: "1", simulated: false, configHash: "" },
});
const set = (session: number, wall: number, mono: number): KeptClockStep => ({
  session,
  step: { at: { wall, mono }, shiftMs: 5, before: "not synchronised", after: "synchronised" },
});
const change = { session: 1, at: { wall: 1000, mono: 100 } };

describe("when a setting was changed", () => {
  it.each<[string, KeptSession[], KeptClockStep[], number | null]>([
    ["is as dated by a clock that was set", [begun(1, "a", 900, 0, "synchronised")], [], 1000],
    ["is as dated where nothing is known of the clock", [], [], 1000],
    ["is as dated once it was set before", [begun(1, "a", 900, 0, "unknown")], [set(1, 950, 50)], 1000],
    [
      "is reckoned back from when it was set",
      [begun(1, "a", 900, 0, "unknown")],
      [set(1, 90_300, 400)],
      90_000,
    ],
    [
      "is reckoned back from a later start of the boot",
      [begun(1, "a", 900, 0, "unknown"), begun(2, "a", 50_000, 600, "synchronised")],
      [],
      49_500,
    ],
    [
      "is no earlier than the next boot whose clock is right",
      [
        begun(1, "a", 900, 0, "not synchronised"),
        begun(2, "b", 700, 5, "not synchronised"),
        begun(3, "c", 70_000, 9, "synchronised"),
      ],
      [],
      70_000,
    ],
    [
      "is no earlier than the clock's being set in the next boot",
      [begun(1, "a", 900, 0, "unknown"), begun(2, "b", 700, 5, "unknown")],
      [set(2, 60_000, 20)],
      60_000,
    ],
    ["is not known while none has been right", [begun(1, "a", 900, 0, "unknown")], [], null],
  ])("%s", (_words, sessions, steps, wall) => {
    expect(changedWall(change, { sessions, steps })).toBe(wall);
  });
});
