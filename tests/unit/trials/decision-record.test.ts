import { afterEach, beforeEach, expect, it } from "vitest";
import { createDecisionRecord } from "../../../station/trials/decision/record.js";
import { entry, LOTS, ladder, planBench } from "./plan-bench.js";

const PLAN = "00000000-0000-4000-8000-00000000000a";

let bench: ReturnType<typeof planBench>;
beforeEach(() => {
  bench = planBench();
  bench.addLots();
});
afterEach(() => bench.remove());

it("shows grades and decisions that are not on the disk yet, and each once when they are", async () => {
  const ask = (async (question: "lots", params: null) => bench.reads[question](params)) as never;
  const { enter, late } = bench.desk;
  const record = createDecisionRecord({ facts: async () => ({}), enter, ask, late });
  await bench.desk.lay(PLAN, ladder({ checks: [] }));
  await bench.desk.phase(PLAN, "running", null);
  const code = bench.cut().settings.specimen ?? "";
  let release = () => {};
  bench.hold(new Promise<void>((resolve) => (release = resolve)));
  const graded = bench.desk.enter([entry("grade", code, { value: 2, grading: 1 }, "back_fuzz")]);
  const decided = record.decided(PLAN, { lot: LOTS[0], reason: "less fuzz" }, null);
  const line = record.onSheet(LOTS[0], { ...LINE, plan: PLAN }, null);
  // Of the whole plan one specimen was graded; and the press counted before it was on the disk.
  const shown = async () => {
    const { view, decisions, sheets } = await record.find(PLAN);
    const fuzz = view.properties.find(({ id }) => id === "back_fuzz")?.lots.map(({ n }) => n);
    const told = decisions.map(({ reason }) => reason);
    return [fuzz?.reduce((sum, n) => sum + n, 0), told, sheets.flatMap(({ lines }) => lines).length];
  };
  await expect.poll(shown).toEqual([1, ["less fuzz"], 1]);
  expect(bench.reads.entriesOf({ kind: "decision", subject: PLAN })).toEqual([]);
  release();
  await Promise.all([graded, decided, line]);
  expect(await shown()).toEqual([1, ["less fuzz"], 1]);
  expect(bench.reads.entriesOf({ kind: "decision", subject: PLAN })).toHaveLength(1);
});

const LINE = {
  ...{ what: "Cut through", speed_mm_s: 12, power_pct: 60, passes: 1, focus_spacer_mm: null },
  ...{ margin_pct: 10, conditions: "" },
};
