import { expect, it } from "vitest";
import { runShop } from "./shop.js";
import { judgeShop } from "./shop-judge.js";
import { faultsOf, jobsOf } from "./shop-plan.js";

const DAYS = Number(process.env.SHOP_DAYS ?? 30);
const SEED = Number(process.env.SHOP_SEED ?? 20_261_127);

it(`over ${DAYS} days in the shop every fault is told in its time, once, and hardly anything else is`, async () => {
  const jobs = jobsOf(DAYS, SEED);
  const faults = faultsOf(jobs, DAYS, SEED);
  const result = await runShop({ fromS: 0, toS: DAYS * 86_400 }, jobs, faults, SEED);
  const { missed, repeated, falsely, took } = judgeShop(result, faults);
  const kinds = [...new Set(took.map(({ fault }) => fault))];
  const longest = kinds.map((kind) => {
    const times = took.filter(({ fault }) => fault === kind).map(({ s }) => s);
    return `${kind} ${times.length} times, longest ${Math.max(...times)} s`;
  });
  process.stdout.write(
    `seed ${SEED}: ${jobs.length} jobs, ${faults.length} faults, ${result.raised.length} alarms; ${longest.join("; ")}; false: ${falsely.length}\n`,
  );
  expect(missed).toEqual([]);
  expect(repeated).toEqual([]);
  // Under one a week.
  expect(falsely.length, falsely.join("\n")).toBeLessThan(Math.max(1, DAYS / 7));
});
