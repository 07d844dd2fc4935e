import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Db } from "../../../station/journal/database.js";
import { checkReadings } from "../../../station/journal/soundness/check.js";
import { createProgress } from "../../../station/journal/soundness/progress.js";
import { reportReadings } from "../../../station/journal/soundness/readings-report.js";
import type { Reading } from "../../../station/model/reading.js";
import { channel, foundIn, reading, seal, writerBench } from "./samples.js";

const HOUR = 3_600_000;
const KEPT = ["run", "reading", "block", "sealed", "stretch", "channel", "session", "setting_change"];
const ROLLUPS = ["live_minute", "block_minutes", "rollup_page"];

/** Rows of tables as they lie in the file. */
function rows(db: Db, tables: readonly string[]): unknown[] {
  return tables.map((table) => db.prepare(`SELECT * FROM ${table}`).raw().all());
}

/** Of two channels over some three months, in two pages of days, with a clock that is set back and forth. */
function someReadings(): Reading[] {
  let set = 0;
  return Array.from({ length: 3000 }, (_, i) => {
    if (i % 700 === 699) set += i % 1400 === 1399 ? -60 * HOUR : 50 * HOUR;
    const one = reading(i % 2 === 0 ? "room" : "coolant", i * 2_700_000, i % 30 === 4 ? null : (i % 77) / 16);
    return { ...one, at: { ...one.at, wall: one.at.wall + set } };
  });
}

const spoilings = fc.array(
  fc.record({
    table: fc.constantFrom(...ROLLUPS),
    row: fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true }),
    how: fc.constantFrom("gone", "another", "torn", "moved"),
    byte: fc.nat(400),
  }),
  { minLength: 1, maxLength: 12 },
);
type Spoiling = typeof spoilings extends fc.Arbitrary<readonly (infer S)[]> ? S : never;

function spoil(db: Db, { table, row, how, byte }: Spoiling): void {
  const pick = (places: string) =>
    db.prepare<[number], Record<string, number>>(
      `SELECT * FROM ${table} LIMIT 1 OFFSET (SELECT CAST(count(*) * ? AS INTEGER) FROM ${table}) ${places}`,
    );
  const found = pick("").get(row);
  if (found === undefined) return;
  if (table === "live_minute") {
    const { stretch, minute, channel: of } = found;
    const at = "stretch = ? AND minute = ? AND channel = ?";
    const change = { gone: "", another: "sum = sum + 1", torn: "max = NULL", moved: "minute = -minute" }[how];
    const sql =
      how === "gone" ? `DELETE FROM ${table} WHERE ${at}` : `UPDATE ${table} SET ${change} WHERE ${at}`;
    db.prepare(sql).run(stretch, minute, of);
    return;
  }
  const key = table === "block_minutes" ? "block" : "id";
  const at = `WHERE ${key} = ?`;
  if (how === "gone") db.prepare(`DELETE FROM ${table} ${at}`).run(found[key]);
  else if (how === "another") {
    db.prepare(`UPDATE ${table} SET data = (SELECT data FROM ${table} WHERE ${key} <> ? LIMIT 1) ${at}`).run(
      found[key],
      found[key],
    );
  } else if (how === "moved" && table === "rollup_page") {
    db.prepare(`UPDATE ${table} SET page = page + 5000 + id ${at}`).run(found[key]);
  } else {
    const data = Buffer.from(found.data as unknown as Buffer);
    data[byte % data.length] = (data[byte % data.length] as number) ^ 0x10;
    db.prepare(`UPDATE ${table} SET data = ? ${at}`).run(data, found[key]);
  }
}

describe("a journal whose rollups are not what its readings say", () => {
  it("is mended, also by a repair that was cut off and begun again, and nothing else is touched", () => {
    const bench = writerBench();
    bench.put([], { name: "channelsDefined", params: [channel("coolant"), channel("room")] });
    const all = someReadings();
    for (let i = 0; i < all.length; i += 50) bench.put(all.slice(i, i + 50));
    seal(bench.db);
    expect(foundIn(bench.db)).toEqual([]);
    const kept = rows(bench.db, KEPT);
    const before = rows(bench.db, ["live_minute", "block_minutes"]);
    let found = 0;
    fc.assert(
      fc.property(spoilings, fc.array(fc.nat(40), { maxLength: 3 }), (spoiled, cutOffs) => {
        for (const each of spoiled) spoil(bench.db, each);
        const wrong = foundIn(bench.db).length;
        found += wrong;
        for (const steps of cutOffs) {
          const repair = checkReadings(bench.db, true);
          for (let i = 0; i < steps; i++) repair.next();
          repair.return();
          expect(foundIn(bench.db).length).toBeLessThanOrEqual(wrong);
        }
        foundIn(bench.db, true);
        expect(foundIn(bench.db)).toEqual([]);
        expect(rows(bench.db, KEPT)).toEqual(kept);
      }),
      { numRuns: 25 },
    );
    expect(found).toBeGreaterThan(25);
    expect(rows(bench.db, ["live_minute", "block_minutes"])).toEqual(before);
    bench.remove();
  });

  it("is as it was after a step that failed in its middle", () => {
    const bench = writerBench();
    const all = someReadings();
    for (let i = 0; i < all.length; i += 50) bench.put(all.slice(i, i + 50));
    seal(bench.db);
    bench.db.exec("DELETE FROM rollup_page WHERE width = 900000; UPDATE live_minute SET bad = bad + 1");
    bench.db.exec(
      "CREATE TRIGGER no BEFORE INSERT ON live_minute WHEN NEW.channel = 2 BEGIN SELECT RAISE(ABORT, 'no'); END",
    );
    const before = rows(bench.db, ["live_minute"]);
    expect(() => foundIn(bench.db, true)).toThrow(/no/);
    expect(rows(bench.db, ["live_minute"])).toEqual(before);
    bench.db.exec("DROP TRIGGER no");
    foundIn(bench.db, true);
    expect(foundIn(bench.db)).toEqual([]);
    bench.remove();
  });
});

describe("the report of what was found", () => {
  it("counts what was looked at and found, names the first of it, and tells what was mended", async () => {
    const bench = writerBench();
    const all = someReadings();
    for (let i = 0; i < all.length; i += 50) bench.put(all.slice(i, i + 50));
    seal(bench.db);
    const blocks = bench.db.prepare("SELECT count(*) FROM block").pluck().get() as number;
    bench.db.exec("DELETE FROM block_minutes");
    const lines: string[] = [];
    const progress = createProgress((line) => lines.push(line));
    const looked = await reportReadings(bench.db, { mend: false }, progress.step);
    expect(looked).toMatchObject({
      blocks,
      damaged: { count: 0 },
      wrong: { count: blocks },
      mended: { count: 0 },
    });
    expect(looked.wrong.named).toHaveLength(20);
    expect(lines.at(0)).toMatch(/^Groups of sealed readings: \d+ %\n$/);
    expect(lines.filter((line) => line.includes("100 %"))).toHaveLength(4);
    expect(lines.length).toBeLessThanOrEqual(40);
    const mended = await reportReadings(bench.db, { mend: true }, () => {});
    expect(mended).toMatchObject({ wrong: { count: 0 }, mended: { count: blocks } });
    bench.remove();
  });
});
