import { describe, expect, it } from "vitest";
import { momentOf } from "../../../station/trials/past/columns.js";
import { readPastRuns } from "../../../station/trials/past/read.js";

/** Two hours ahead of UTC. */
const local = (...parts: [number, number, number, number, number, number]) => Date.UTC(...parts) - 7_200_000;
async function* inPieces(text: string, size = 7): AsyncGenerator<string> {
  for (let at = 0; at < text.length; at += size) yield text.slice(at, at + size);
}
const read = (text: string) => readPastRuns(inPieces(text), local);

const HEADER = "run,started_at,material,lot,block,thickness_mm,speed_mm_s,power_pct,passes,outcome";

describe("past runs from a spreadsheet", () => {
  it("are read with their conditions, and what nobody knows is kept as notes", async () => {
    const { runs, ...found } = await read(
      `${HEADER},coolant_C,weather\r\n1,2026-05-04 14:30,"board, 3 mm",L1,A,2.95,12.5,60,,finger,18.25,rain\r\n2,2026-05-04T12:30Z,board,,,,11,60,2,Not through,,\r\n`,
    );
    expect(found).toEqual({ rows: 2, bad: [], badRows: 0, conditions: ["coolant_C"], notes: ["weather"] });
    const startedWall = Date.UTC(2026, 4, 4, 12, 30);
    expect(runs).toEqual([
      {
        ...{ run: "1", startedWall, material: "board, 3 mm", lot: "L1", block: "A", thickness_mm: 2.95 },
        ...{ speed_mm_s: 12.5, power_pct: 60, passes: 1, through: true, grade: 1 },
        ...{ conditions: { coolant_C: 18.25 }, notes: { weather: "rain" } },
      },
      {
        ...{ run: "2", startedWall, material: "board", lot: null, block: null, thickness_mm: null },
        ...{ speed_mm_s: 11, power_pct: 60, passes: 2, through: false, grade: null },
        ...{ conditions: {}, notes: {} },
      },
    ]);
  });

  it("leave room for whatever else the station has to do", async () => {
    const rows = Array.from({ length: 1000 }, (_, i) => `${i},,board,,,,12,60,1,good\n`).join("");
    let others = 0;
    let done = false;
    const other = () => {
      others += 1;
      if (!done) setImmediate(other);
    };
    setImmediate(other);
    // All of it comes at once.
    await readPastRuns(inPieces(`${HEADER}\n${rows}`, 1e6), local);
    done = true;
    expect(others).toBeGreaterThanOrEqual(19);
  });

  it("may stand between semicolons, with commas before the decimals and a byte order mark", async () => {
    const { runs } = await read(`\uFEFF${HEADER.replaceAll(",", ";")}\n7;;board;;;2,95;12,5;60;1;stayed\n`);
    expect(runs).toMatchObject([{ run: "7", thickness_mm: 2.95, speed_mm_s: 12.5, grade: 3 }]);
  });

  it("are named by line and column where a cell is not right, each, and no run comes of that row", async () => {
    const { runs, bad, badRows, rows } = await read(
      `${HEADER},coolant_C\n1,,board,,,,fast,60,1,good,18\n2,2026-02-30,board,,,,12,0,1,good,\n3,,board,,,,12,60,1.5,perhaps,warm\n4,,,,,,12,60,1,good,\n1,,board,,,,12,60,1,good,\n5,,board,,,,12,60,1,good,\n5,,board,,,,12,60,1,good,,more\n`,
    );
    expect(bad.map(({ line, column, found }) => `${line} ${column}: ${found}`)).toEqual([
      "2 speed_mm_s: fast",
      "3 started_at: 2026-02-30",
      "3 power_pct: 0",
      "4 outcome: perhaps",
      "4 coolant_C: warm",
      "4 passes: 1.5",
      "5 material: ",
      "6 run: 1",
      "8 after coolant_C: more",
      "8 run: 5",
    ]);
    expect(bad.every(({ expected }) => expected !== "")).toBe(true);
    expect([rows, badRows, runs.map(({ run }) => run)]).toEqual([7, 6, ["5"]]);
  });

  it.each([
    ["run,material\n", /these are not there: speed_mm_s, power_pct, outcome/],
    ["", /these are not there: run, material/],
    [`${HEADER},lot\n`, /The column lot is there twice/],
    [`${HEADER}\n1,"board\n`, /a quote that is never closed/],
  ])("%j is refused as a whole", async (text, words) => {
    await expect(read(text)).rejects.toThrow(words);
  });

  it.each([
    ["2026-05-04", Date.UTC(2026, 4, 3, 22)],
    ["2026-05-04T14:30:15.5+02:00", Date.UTC(2026, 4, 4, 12, 30, 15)],
    ["2026-05-04 14:30-0330", Date.UTC(2026, 4, 4, 18)],
    ["2024-02-29", Date.UTC(2024, 1, 28, 22)],
    ["2025-02-29", undefined],
    ["2026-13-01", undefined],
    ["04.05.2026", undefined],
    ["2026-05-04 24:00", undefined],
  ])("%s is a moment, or none", (cell, expected) => {
    expect(momentOf(cell, local)).toBe(expected);
  });
});
