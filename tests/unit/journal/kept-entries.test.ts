import { expect, it } from "vitest";
import type { PlanRecord } from "../../../station/journal/trials/calls.js";
import { entry, ladder, planBench } from "../trials/plan-bench.js";

const PLANS = Array.from({ length: 6 }, (_, i) => `00000000-0000-4000-8000-0000000000a${i}`);

it("what was read of a plan's entries is read once, and what is added is there", async () => {
  const bench = planBench();
  bench.addLots();
  for (const plan of PLANS) await bench.desk.lay(plan, ladder());
  const record = (plan: string) => bench.reads.planCore(plan) as PlanRecord;
  const grade = (plan: string, value: number) => {
    const code = record(plan).specimens[0]?.code ?? "";
    return bench.desk.enter([entry("grade", code, { value, grading: 1 }, "through")]);
  };
  for (let round = 0; round < 3; round++) {
    for (const plan of PLANS) {
      await grade(plan, round);
      const before = record(plan);
      expect(before.entries.map(({ body }) => body)).toEqual(
        Array.from({ length: round + 1 }, (_, value) => ({ value, grading: 1 })),
      );
      expect(record(plan).entries).toBe(before.entries);
    }
  }
  bench.remove();
});

it("an entry that is damaged is not passed over", async () => {
  const bench = planBench();
  bench.addLots();
  await bench.desk.lay(PLANS[0] as string, ladder());
  const code = (bench.reads.planCore(PLANS[0] as string) as PlanRecord).specimens[0]?.code ?? "";
  await bench.desk.enter([entry("grade", code, { value: 1, grading: 1 }, "through")]);
  bench.damage('UPDATE trial_entry SET body = \'{"value":2,"grading":1}\'');
  expect(() => bench.reads.planCore(PLANS[0] as string)).toThrow(
    /Some of the grades and other entries are damaged/,
  );
  bench.remove();
});
