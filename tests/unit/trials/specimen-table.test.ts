import { afterEach, beforeEach, expect, it } from "vitest";
import { csvRows } from "../../../station/journal/exchange/csv.js";
import { readPastRuns } from "../../../station/trials/past/read.js";
import { entry, ladder, NOTHING_LATE, planBench } from "./plan-bench.js";

const PLAN = "00000000-0000-4000-8000-00000000000a";

let bench: ReturnType<typeof planBench>;
beforeEach(async () => {
  bench = planBench();
  bench.addLots();
  await bench.desk.lay(
    PLAN,
    ladder({ checks: [], layout: { method: "ladder", vary: "speed", rungs: [10.5, 14], replicates: 1 } }),
  );
  await bench.desk.phase(PLAN, "running", null);
});
afterEach(() => bench.remove());

async function table(): Promise<{ text: string; rows: Record<string, string>[] }> {
  const bytes = bench.reads.planTable({ id: PLAN, late: NOTHING_LATE }) as Uint8Array;
  const text = Buffer.from(bytes).toString("utf8");
  const rows: string[][] = [];
  for await (const { cells } of csvRows(inOne(text))) rows.push([...cells]);
  const [names = [], ...others] = rows;
  return {
    text,
    rows: others.map((cells) => Object.fromEntries(names.map((name, i) => [name, cells[i] ?? ""]))),
  };
}

async function* inOne(text: string): AsyncGenerator<string> {
  yield text;
}

it("has a row for every specimen in the order of cutting, with what it was cut with and under, and its grades", async () => {
  const first = bench.cut();
  await bench.desk.enter([
    entry("grade", first.settings.specimen ?? "", { value: 1, grading: 1 }, "through"),
    entry("grade", first.settings.specimen ?? "", { value: 2, grading: 2 }, "through"),
    entry("grade", first.settings.specimen ?? "", { value: 31.5, grading: 1 }, "press_out_N"),
  ]);
  const second = bench.cut("screen", { ...bench.sheet(), power_pct: 80 });
  const third = bench.cut();
  await bench.desk.enter([
    entry("step", third.settings.specimen ?? "", { step: "spoilt", why: '=belt, "slipped"' }),
  ]);
  const again = await bench.desk.again(third.settings.specimen ?? "");
  const { rows } = await table();
  expect(rows).toHaveLength(5);
  expect(rows[0]).toMatchObject({
    ...{ run: "1", block: "1", place: "1", specimen: first.settings.specimen, state: "cut", counts: "yes" },
    ...{ speed_mm_s: String(first.settings.speed_mm_s), power_pct: "60", passes: "1", outcome: "finger" },
    ...{ coolant_C: "18.5", room_C: "", hours_since_optics_cleaned: "", flags: "" },
    ...{ through_grade: "1", through_grade_second: "2", press_out_N: "31.5", press_out_N_second: "" },
  });
  expect(rows[0]?.started_at).toMatch(/^2026-05-04T09:00:00/);
  expect(rows[0]?.material).toMatch(/^L[12] Board [12]$/);
  // Cut with another power than planned: it is there, and does not count.
  expect(rows[1]).toMatchObject({
    specimen: second.settings.specimen,
    power_pct: "80",
    counts: "no",
    outcome: "",
  });
  expect(rows[2]).toMatchObject({ state: "spoilt", why: `'=belt, "slipped"`, counts: "no" });
  expect(rows[3]).toMatchObject({ state: "waiting", run: "", speed_mm_s: "", started_at: "", counts: "no" });
  expect(rows[4]).toMatchObject({ specimen: again.value.code, in_place_of: third.settings.specimen });
});

it("has number and time of the last run of a specimen that was cut in two", async () => {
  const first = bench.cut("laser-on");
  const second = bench.cut("laser-on");
  expect(second.settings.specimen).toBe(first.settings.specimen);
  const [row] = (await table()).rows;
  expect([row?.run, row?.started_at]).toEqual(["2", new Date(second.startWall).toISOString()]);
  expect(second.startWall).not.toBe(first.startWall);
});

it("can be taken in as past runs where it was cut and looked at", async () => {
  for (let i = 0; i < 4; i++) {
    const { settings } = bench.cut();
    await bench.desk.enter([entry("grade", settings.specimen ?? "", { value: i, grading: 1 }, "through")]);
  }
  const { text, rows } = await table();
  const { runs, bad, notes } = await readPastRuns(inOne(text), () => 0);
  expect(bad).toEqual([]);
  expect(runs.map(({ run, through, grade }) => [run, through, grade])).toEqual([
    ["1", true, 0],
    ["2", true, 1],
    ["3", false, 2],
    ["4", false, 3],
  ]);
  expect(runs.map(({ speed_mm_s }) => String(speed_mm_s))).toEqual(rows.map((row) => row.speed_mm_s));
  expect(runs[0]?.conditions).toEqual({ coolant_C: 18.5 });
  expect(notes).toContain("specimen");
});

it("of a plan that is not there is none", () => {
  expect(
    bench.reads.planTable({ id: "00000000-0000-4000-8000-0000000000ff", late: NOTHING_LATE }),
  ).toBeNull();
});
