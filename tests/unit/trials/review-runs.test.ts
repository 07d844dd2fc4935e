import { describe, expect, it } from "vitest";
import type { EntryBody, EntryKind, KeptEntry } from "../../../station/model/entry.js";
import type { PastRun } from "../../../station/model/past-run.js";
import type { Plan } from "../../../station/model/plan.js";
import type { PlacedRun, RunSettings, Stamp } from "../../../station/model/run.js";
import { type GivenSpecimen, reviewedRuns, reviewMarks } from "../../../station/trials/review-runs.js";
import { ended, openRun, stamp, WALL } from "../journal/samples.js";
import { entry, LOTS, ladder, lotFacts } from "./plan-bench.js";

const PLAN: Plan = { id: "plan-a", number: 3, facts: ladder(), madeWall: WALL };
const SEARCH: Plan = {
  ...PLAN,
  id: "plan-b",
  facts: ladder({
    layout: {
      ...{ method: "search", slowest_mm_s: 8, fastest_mm_s: 20, step_mm_s: 0.5 },
      ...{ within_pct: 5, most_cuts: 20, through_up_to: 0 },
    },
  }),
};

let entries = 0;
function kept<K extends EntryKind>(kind: K, subject: string, body: EntryBody<K>, property = "") {
  entries += 1;
  return { ...entry(kind, subject, body, property), id: entries, wall: WALL + entries } as KeptEntry<K>;
}
const grade = (code: string, value: number | null, property = "through", grading: 1 | 2 = 1) =>
  kept("grade", code, { value, grading }, property);

function cutRun(number: number, settings: RunSettings, changes: Partial<PlacedRun> = {}): PlacedRun {
  const begun = openRun(`run-${number}`, { number, settings, startWall: WALL + number * 60_000 });
  return { ...ended(begun), placed: null, ...changes };
}

function specimen(code: string, given: Partial<GivenSpecimen> = {}): GivenSpecimen {
  const plan = given.plan ?? PLAN;
  const setting = { speed_mm_s: 12, power_pct: 60, passes: 1, focus_spacer_mm: 7 };
  return {
    specimen: { code, plan: plan.id, block: 2, place: 1, lot: LOTS[0], setting, replaces: null },
    lot: { id: LOTS[0], number: 4, facts: lotFacts(), addedWall: WALL },
    ...{ plan, steps: [], grades: [] },
    ...given,
  };
}

const review = (runs: readonly PlacedRun[], specimens: readonly GivenSpecimen[] = []) =>
  reviewedRuns({ runs, specimens, past: [] }).runs.map(({ run }) => run);

describe("runs as review takes them", () => {
  it("have what their specimen was, how it was cut and under what, and whether it was through", () => {
    const settings = { specimen: "AAAAA", speed_mm_s: 14, material: "L4 Quayside board" };
    const [run] = review(
      [cutRun(7, settings)],
      [
        specimen("AAAAA", {
          grades: [grade("AAAAA", 2), grade("AAAAA", 1), grade("AAAAA", 3, "through", 2)],
        }),
      ],
    );
    expect(run).toEqual({
      ...{ id: "run-7", name: "Run 7", wall: WALL + 7 * 60_000 },
      ...{ material: "Quayside board 3 mm", lot: "L4", block: "P3 block 2" },
      ...{ speed_mm_s: 14, power_pct: 60, passes: 1, through: true, grade: 1, strength: null },
      conditions: { coolant_C: 18.5 },
    });
  });

  it("fill nothing in for what was not measured well enough, was never noted, or is of another kind", () => {
    const known = stamp().channels.coolant as Stamp["channels"][string];
    const channels = {
      "coolant-in": { ...known, known: false, mean: null },
      "coolant-out": { ...known, kind: "coolant-outlet" as const, mean: 19 },
      room: { ...known, kind: "room-temperature" as const, mean: 21.5 },
      air: { ...known, kind: "room-humidity" as const, mean: 47 },
      fan: { ...known, kind: "extraction-speed" as const, mean: 2600 },
    };
    const [run] = review([{ ...cutRun(1, {}), stamp: stamp({ channels, opticsHours: 6 }) }]);
    expect(run?.conditions).toEqual({
      ...{ room_C: 21.5, humidity_pct: 47, airflow_1_min: 2600, hours_since_optics_cleaned: 6 },
    });
  });

  it.each([
    ["was not graded", [], []],
    ["was spoilt", [grade("AAAAA", 0)], [kept("step", "AAAAA", { step: "spoilt", why: "" })]],
    ["had its grade taken back", [grade("AAAAA", 0), grade("AAAAA", null)], []],
    ["was graded by the second grading alone", [grade("AAAAA", 0, "through", 2)], []],
  ])("have no outcome where the specimen %s", (_why, grades, steps) => {
    const [run] = review([cutRun(1, { specimen: "AAAAA" })], [specimen("AAAAA", { grades, steps })]);
    expect([run?.through, run?.grade]).toEqual([null, null]);
  });

  it("count a search's pieces as through by its own rule, and those of a ladder with a finger", () => {
    const grades = [grade("AAAAA", 1)];
    const of = (plan: Plan) =>
      review([cutRun(1, { specimen: "AAAAA" })], [specimen("AAAAA", { grades, plan })])[0]?.through;
    expect([of(PLAN), of(SEARCH)]).toEqual([true, false]);
  });

  it("give the grade of a piece that was cut twice to the last of its runs, and to none where they were set apart", () => {
    const grades = [grade("AAAAA", 3)];
    const twice = (speed: number) =>
      review(
        [
          cutRun(1, { specimen: "AAAAA", speed_mm_s: 12 }),
          cutRun(2, { specimen: "AAAAA", speed_mm_s: speed }),
        ],
        [specimen("AAAAA", { grades })],
      ).map(({ through }) => through);
    expect([twice(12), twice(13)]).toEqual([
      [null, false],
      [null, null],
    ]);
  });

  it("have an outcome by grades alone: one with typed settings has none", () => {
    const [run] = review([cutRun(1, { material: "card", lot: "B", speed_mm_s: 20, power_pct: 30 })]);
    expect(run).toMatchObject({ material: "card", lot: "B", speed_mm_s: 20, passes: null, through: null });
  });

  it("tell the focus by the spacer against the median of its stock, where three or more have one", () => {
    const spacers = [7, 7, 7.5, 6.75];
    const runs = spacers.map((focus_spacer_mm, i) => cutRun(i, { specimen: `AAAA${i}`, focus_spacer_mm }));
    const specimens = spacers.map((_, i) => specimen(`AAAA${i}`));
    const focus = (count: number) =>
      review(runs.slice(0, count), specimens).map(({ conditions }) => conditions.focus_error_mm);
    // Higher than usual: the focus lies higher, which is below 0.
    expect([focus(4), focus(2)]).toEqual([
      [0, 0, -0.5, 0.25],
      [undefined, undefined],
    ]);
  });

  it("have the strength of their stock in one way: pressed out where any piece was", () => {
    const bent = (code: string) => [
      grade(code, 60, "bend_span_mm"),
      grade(code, 50, "bend_width_mm"),
      grade(code, 3, "bend_thickness_mm"),
      grade(code, 100, "bend_break_N"),
    ];
    const runs = ["AAAAA", "BBBBB"].map((code, i) => cutRun(i, { specimen: code }));
    const strengths = (first: readonly KeptEntry<"grade">[]) =>
      review(runs, [specimen("AAAAA", { grades: first }), specimen("BBBBB", { grades: bent("BBBBB") })]).map(
        ({ strength }) => strength,
      );
    // EN 310: 3 F l / (2 b t²).
    const strength = (3 * 100 * 60) / (2 * 50 * 9);
    expect(strengths(bent("AAAAA"))).toEqual([strength, strength].map((each) => expect.closeTo(each, 6)));
    expect(strengths([grade("AAAAA", 31, "press_out_N")])).toEqual([31, null]);
  });

  it("leave simulated runs out beside real ones, and count them where there are no others", () => {
    const [real, made] = [cutRun(1, {}), { ...cutRun(2, {}), simulated: true }];
    const both = reviewedRuns({ runs: [real, made], specimens: [], past: [] });
    expect([both.runs.map(({ run }) => run.id), both.simulatedLeftOut]).toEqual([["run-1"], 1]);
    expect(review([made]).map(({ id }) => id)).toEqual(["run-2"]);
  });

  it("do not tell a time by a clock that was not set, unless it was put right, and stay in their order", () => {
    const runs = [
      cutRun(1, {}, { clockAtStart: "not synchronised" }),
      cutRun(2, {}, { clockAtStart: "not synchronised", placed: { startWall: WALL + 5, endWall: null } }),
      cutRun(3, {}),
    ];
    expect(review(runs).map(({ id, wall }) => [id, wall])).toEqual([
      ["run-2", WALL + 5],
      ["run-1", null],
      ["run-3", WALL + 180_000],
    ]);
  });
});

describe("runs from before the station", () => {
  const past = (run: string, changes: Partial<PastRun> = {}): KeptEntry<"past"> =>
    kept("past", run, {
      ...{ run, startedWall: null, material: "MDF", lot: null, block: null, thickness_mm: null },
      ...{ speed_mm_s: 12, power_pct: 60, passes: 1, through: true, grade: null, conditions: {}, notes: {} },
      ...changes,
    });
  const reviewed = (...entries: KeptEntry<"past">[]) =>
    reviewedRuns({ runs: [], specimens: [], past: entries }).runs.map(({ run }) => run);

  it("come as they were written, before those that have a time, and the latest word of a run counts", () => {
    const conditions = { coolant_C: 24, focus_error_mm: -0.2 };
    const runs = reviewed(
      past("B12", { startedWall: WALL, through: true }),
      past("2", { lot: "B", block: "Monday", conditions }),
      past("B12", { startedWall: WALL, through: false, grade: 3 }),
    );
    expect(runs.map(({ name, through, grade }) => [name, through, grade])).toEqual([
      ["Past run 2", true, null],
      ["B12", false, 3],
    ]);
    expect(runs[0]).toMatchObject({ material: "MDF", lot: "B", block: "Monday", strength: null, conditions });
  });

  it("are of different stock where sheets that are called alike are not as thick, but for what measuring does", () => {
    const thick = (...mm: (number | null)[]) =>
      reviewed(...mm.map((thickness_mm, i) => past(String(i), { thickness_mm }))).map(
        ({ material }) => material,
      );
    expect(thick(2.98, 3.1, null)).toEqual(["MDF", "MDF", "MDF"]);
    expect(thick(2.98, 6.1, null)).toEqual(["MDF 3 mm", "MDF 6 mm", "MDF, thickness not known"]);
  });
});

it("tells upkeep in the words of its kind, and of anything else in the owner's, oldest first", () => {
  const row = (id: number, kind: string, note = "") => ({ id, kind, wall: WALL - id, note });
  expect(
    reviewMarks([row(1, "optics-cleaned", "with acetone"), row(2, "other", "new bench"), row(3, "other")]),
  ).toEqual([
    { wall: WALL - 3, what: "Something else" },
    { wall: WALL - 2, what: "new bench" },
    { wall: WALL - 1, what: "Mirrors and lens cleaned" },
  ]);
});
