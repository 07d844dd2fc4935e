import { expect, it } from "vitest";
import { runShop } from "../../faults/shop.js";
import { judgeShop } from "../../faults/shop-judge.js";
import type { Job, ShopFault } from "../../faults/shop-plan.js";

const HOUR = 3600;
const MIN = 60;

/** A job of eight minutes at every quarter past. */
const JOBS: readonly Job[] = [9, 10, 11, 12, 13, 14].map((hour) => ({
  fromS: hour * HOUR + 15 * MIN,
  toS: hour * HOUR + 23 * MIN,
}));
const fault = (kind: ShopFault["fault"], hour: number, minute: number, minutes: number): ShopFault => ({
  fault: kind,
  fromS: hour * HOUR + minute * MIN,
  toS: hour * HOUR + (minute + minutes) * MIN,
});
const FAULTS: readonly ShopFault[] = [
  fault("fan-stops", 9, 17, 1),
  fault("probe-off", 9, 40, 2),
  fault("fan-slips", 10, 17, 1),
  fault("sensor-silent", 10, 40, 3),
  fault("pump-stops", 11, 17, 1),
  fault("contact-chatters", 12, 0, 10),
  fault("coolant-runs-away", 13, 16, 7),
];

// The thirty days are in the suite of faults; a morning here, so that no change of a rule goes by unseen.
it("in a day with one fault of each kind each is told in its time, once, and nothing else is", async () => {
  const { missed, repeated, falsely, took } = judgeShop(
    await runShop({ fromS: 9 * HOUR, toS: 14 * HOUR + 30 * MIN }, JOBS, FAULTS, 7),
    FAULTS,
  );
  expect(missed).toEqual([]);
  expect(repeated).toEqual([]);
  expect(falsely).toEqual([]);
  expect(took.map((each) => each.fault)).toEqual(FAULTS.map((each) => each.fault));
});

it("without any fault, nothing is told", async () => {
  const { raised } = await runShop({ fromS: 9 * HOUR, toS: 11 * HOUR }, JOBS, [], 8);
  expect(raised).toEqual([]);
});
