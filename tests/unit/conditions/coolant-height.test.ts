import { expect, it } from "vitest";
import { createCoolantHeight } from "../../../station/conditions/coolant-height.js";

/** What it says after so many minutes, a value every ten seconds. */
function after(minutes: number, celsius: (minute: number) => number | null): number | null {
  const height = createCoolantHeight({ high: 22 });
  for (let bin = 0; bin < minutes * 6; bin += 1) height.push({ value: celsius(bin / 6) });
  return height.usual();
}
/** A chiller at rest: up in twelve minutes and down in three. */
const resting = (minute: number) => 17.5 + 0.9 * Math.min((minute % 15) / 12, (15 - (minute % 15)) / 3);

it("is the height at which the chiller turned the water within the hour", () => {
  expect(after(50, resting)).toBeCloseTo(18.4, 1);
  const once = (minute: number) => (minute < 2 ? 21 : resting(minute));
  expect(after(60, once)).toBe(21);
  expect(after(63, once)).toBeCloseTo(18.4, 1);
});

it("leaves the climb itself out: one that goes on has soon left it behind", () => {
  const climbing = (minute: number) => (minute < 50 ? resting(minute) : 17.9 + (minute - 50) * 0.3);
  for (const minute of [52, 55, 58, 62])
    expect(climbing(minute) - (after(minute, climbing) ?? Number.NaN)).toBeGreaterThan(minute < 55 ? 0 : 0.3);
});

it("is not known before twenty minutes are, and says nothing once the water left its range", () => {
  expect(after(24, resting)).toBeNull();
  expect(after(26, resting)).not.toBeNull();
  expect(after(50, (minute) => (minute > 10 && minute < 40 ? null : resting(minute)))).toBeNull();
  const ranAway = (minute: number) => (minute === 20 ? 22.1 : resting(minute));
  expect(after(50, ranAway)).toBeNull();
  expect(after(81, ranAway)).not.toBeNull();
});
