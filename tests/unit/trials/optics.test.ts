import { expect, it } from "vitest";
import type { ClockState, Instant } from "../../../station/model/instant.js";
import { type Cleaning, createOptics, hoursSince } from "../../../station/trials/optics.js";

const HOUR = 3_600_000;
const cleaning: Cleaning = { wall: 100 * HOUR, mono: 2 * HOUR, bootId: "a" };

it("counts the hours by monotonic time within a boot, whatever the wall clock says", () => {
  const at = { wall: -7 * HOUR, mono: 5 * HOUR, bootId: "a", clock: "not synchronised" } as const;
  expect(hoursSince(cleaning, at)).toBe(3);
  expect(hoursSince(null, at)).toBeNull();
});

it("counts them by the wall clock over a boot, and not at all while that is not set", () => {
  const at = (clock: ClockState) => ({ wall: 110 * HOUR, mono: HOUR, bootId: "b", clock });
  expect(hoursSince(cleaning, at("synchronised"))).toBe(10);
  expect(hoursSince(cleaning, at("unknown"))).toBe(10);
  expect(hoursSince(cleaning, at("not synchronised"))).toBeNull();
  expect(hoursSince(cleaning, { ...at("synchronised"), wall: 90 * HOUR })).toBe(0);
});

it("takes the true time of the cleaning it holds, and not that of one before it", async () => {
  let now: Instant = { wall: 5 * HOUR, mono: 5 * HOUR };
  const optics = createOptics({
    clock: { now: () => now, bootId: "a", state: () => "not synchronised" },
    lastCleaning: cleaning,
    keep: async () => {},
    changed: () => {},
  });
  optics.placed({ ...cleaning, wall: 500 * HOUR });
  expect(optics.view()).toEqual({ cleanedWall: 500 * HOUR, agoMs: 3 * HOUR });
  await optics.cleaned();
  optics.placed({ ...cleaning, wall: 600 * HOUR });
  now = { wall: 905 * HOUR, mono: 6 * HOUR };
  expect(optics.view()).toEqual({ cleanedWall: 5 * HOUR, agoMs: HOUR });
  optics.placed({ wall: 904 * HOUR, mono: 5 * HOUR, bootId: "a" });
  expect(optics.view()).toEqual({ cleanedWall: 904 * HOUR, agoMs: HOUR });
});
