import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import type { ReviewRow, ReviewRun } from "../../station/model/review.js";
import { history } from "../bench/histories.js";
import { pastCsv } from "./past-csv.js";
import { type Ended, station } from "./station-command.js";
import { temporaryFolder } from "./station-process.js";

const { folder, remove } = temporaryFolder();
afterAll(remove);

const KEYS = ["question", "subject", "verdict", "sentence", "estimate", "lower", "upper", "p", "n", "method"];
const HEADER = "run,started_at,material,speed_mm_s,power_pct,passes,outcome,coolant_C,humidity_pct";
let files = 0;

function review(text: string, ...args: readonly string[]): Ended {
  files += 1;
  const file = join(folder, `runs-${files}.csv`);
  writeFileSync(file, text);
  return station(folder, "review", file, ...args);
}
function rows(text: string, ...args: readonly string[]): ReviewRow[] {
  const { status, stdout, stderr } = review(text, "--json", ...args);
  expect([status, stderr]).toEqual([0, ""]);
  return JSON.parse(stdout) as ReviewRow[];
}
const overall = (all: readonly ReviewRow[], subject: string) =>
  all.find((row) => row.question === "conditions" && row.run === undefined && row.subject === subject);
/** Coolant that matters, and nothing else that does: with two stocks of which the second is faster by a fifth. */
const season = history({ runs: 240, effects: { coolant_C: -1 }, ratio: 1.2 }, 5, 17);
const with_ = (change: (run: ReviewRun, i: number) => Partial<ReviewRun>) =>
  pastCsv(season.map((run, i) => ({ ...run, ...change(run, i) })));

describe("station review", () => {
  it("answers every question of a spreadsheet as an array, one object for each", () => {
    const all = rows(pastCsv(season));
    for (const row of all) {
      for (const key of KEYS) expect(row).toHaveProperty(key);
      expect(row.sentence).not.toMatch(/NaN|Infinity|null|undefined/);
    }
    expect(overall(all, "coolant_C")?.verdict).toBe("explains");
    expect(overall(all, "coolant_C")?.estimate).toBeLessThan(0);
    expect(["no sign", "may explain"]).toContain(overall(all, "humidity_pct")?.verdict);
    const bad = season.filter(({ through }) => through === false).map(({ id }) => id);
    expect(new Set(all.flatMap(({ run }) => run ?? []))).toEqual(new Set(bad));
    const materials = all.filter(({ question }) => question === "materials");
    expect(materials.map(({ verdict }) => verdict)).toEqual(["Poplar ply"]);
  });

  it("says it in plain sentences, and of one run where one is named", () => {
    const { status, stdout } = review(pastCsv(season));
    expect(status).toBe(0);
    expect(stdout).toMatch(/^Conditions, over 240 runs:\nCoolant has to do with what goes through/);
    expect(stdout).toMatch(/\nStock against stock:\n/);
    const bad = season.find(({ through }) => through === false)?.id ?? "";
    const its = rows(pastCsv(season), "--run", bad);
    expect(new Set(its.map(({ run }) => run))).toEqual(new Set([bad]));
    expect(its).toHaveLength(6);
    const good = season.find(({ through }) => through === true)?.id ?? "";
    for (const [name, words] of [
      [good, /not known of \d+ that it was not cut through/],
      ["nobody", /No run is called “nobody”/],
    ] as const) {
      const none = review(pastCsv(season), "--run", name);
      expect([none.status, none.stdout]).toEqual([1, ""]);
      expect(none.stderr).toMatch(words);
    }
  });

  it("judges nothing where a cell is not right, and names each with its line, its column, and what is expected", () => {
    const bad = `${HEADER}
1,2026-05-04T10:00,board,fast,60,1,good,19,50
2,2026-13-04T10:00,board,12,60,1,good,19,50
3,,board,12,160,1.5,perhaps,warm,NaN
3,,board,12,60,1,good,19,50
,,,12,60,1,good,Infinity,1e3
`;
    const { status, stdout, stderr } = review(bad, "--json");
    expect([status, stdout]).toEqual([1, ""]);
    expect(stderr).toMatch(/^Nothing was judged: of 5 rows 5 have a cell that is not right\./);
    const named = [...stderr.matchAll(/^line (\d+), (\w+): found "(.*)"; expected .+$/gm)].map(
      ([, line, column, found]) => `${line} ${column} ${found}`,
    );
    expect(named.sort()).toEqual(
      [
        ...["2 speed_mm_s fast", "3 started_at 2026-13-04T10:00", "4 coolant_C warm", "4 humidity_pct NaN"],
        ...["4 outcome perhaps", "4 passes 1.5", "4 power_pct 160", "5 run 3", "6 coolant_C Infinity"],
        ...["6 humidity_pct 1e3", "6 material ", "6 run "],
      ].sort(),
    );
  });

  it("names more bad cells than a page would", () => {
    const lines = Array.from({ length: 150 }, (_, i) => `${i},,board,fast,60,1,good,19,50`);
    const { stderr } = review(`${HEADER}\n${lines.join("\n")}\n`);
    expect(stderr.match(/^line /gm)).toHaveLength(150);
  });

  it.each([
    ["an empty file", "", /is empty: without runs nothing can be told/],
    ["no table at all", "hello\n", /these are not there: run, material/],
    ["a column twice", `${HEADER},run\n`, /The column run is there twice/],
  ])("refuses %s with words", (_what, text, words) => {
    const { status, stdout, stderr } = review(text, "--json");
    expect([status, stdout]).toEqual([1, ""]);
    expect(stderr).toMatch(words);
  });

  it("refuses a file that is not there, one that is no text, and more files than one", () => {
    const gone = station(folder, "review", "nowhere.csv");
    expect([gone.status, gone.stdout]).toEqual([1, ""]);
    expect(gone.stderr).toMatch(/nowhere\.csv could not be read: there is no such file\./);
    const file = join(folder, "latin.csv");
    writeFileSync(file, Buffer.from([...Buffer.from(`${HEADER}\n1,,b`), 0xe4, 0x0a]));
    expect(station(folder, "review", file).stderr).toMatch(/not text in UTF-8/);
    expect(station(folder, "review", "a.csv", "b.csv").status).toBe(2);
    const both = station(folder, "review", file, "--journal", folder);
    expect([both.status, both.stderr]).toEqual([2, expect.stringContaining("leave one of them out")]);
  });

  it.each([
    ["only the first line", `${HEADER}\n`],
    ["one run", `${HEADER}\n1,,board,12,60,1,bad,19,50\n`],
    ["runs that are all good", with_(() => ({ through: true }))],
    ["runs that are all bad", with_(() => ({ through: false }))],
    ["runs that are all alike", with_(() => ({ speed_mm_s: 12, conditions: { coolant_C: 19 } }))],
  ])("says of %s that nothing can be told, in a sentence", (_what, text) => {
    const conditions = rows(text).filter(
      ({ run, question }) => question === "conditions" && run === undefined,
    );
    expect(conditions).toHaveLength(6);
    for (const { verdict, sentence, p, estimate } of conditions) {
      expect(verdict).toBe("cannot tell");
      expect(sentence).toMatch(/cannot tell\. .{10}/);
      expect([p, estimate]).toEqual([null, null]);
    }
  });

  it("says of a condition that is never known that it cannot tell, and judges the others", () => {
    const all = rows(
      with_(({ conditions }) => {
        const { humidity_pct: _gone, ...others } = conditions;
        return { conditions: others };
      }),
    );
    expect(overall(all, "humidity_pct")).toMatchObject({ verdict: "cannot tell", estimate: null });
    expect(overall(all, "coolant_C")?.verdict).toBe("explains");
  });

  it("takes ten thousand rows, which the station itself would not, and no more than twenty thousand", () => {
    const many = history({ runs: 10_000, effects: { coolant_C: -1 } }, 6, 1);
    const all = rows(pastCsv(many));
    expect(overall(all, "coolant_C")).toMatchObject({ verdict: "explains", n: 10_000 });
    const line = (i: number) => `${i},,board,12,60,1,good,19,50`;
    const tooMany = [HEADER, ...Array.from({ length: 20_001 }, (_, i) => line(i))].join("\n");
    expect(review(tooMany).stderr).toMatch(/at most 20000 runs/);
  });
});
