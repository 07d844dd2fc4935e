import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import {
  createStretchRows,
  type RowColumns,
  type StretchRows,
} from "../../../station/journal/stretch-rows.js";
import { numberOfRow, type RowCells } from "../../../station/journal/stretch-sums.js";
import { type Bench, writerBench } from "./samples.js";

let bench: Bench;
let rows: StretchRows;
beforeEach(() => {
  bench = writerBench();
  bench.db.pragma("foreign_keys = OFF");
  rows = createStretchRows(bench.db);
});
afterEach(() => bench.remove());

function put(cells: readonly RowCells[]): void {
  const insert = bench.db.prepare(
    "INSERT INTO reading (id, channel, session, wall, mono, value, quality, reason) VALUES (?, ?, 1, ?, ?, ?, ?, ?)",
  );
  for (const row of cells) insert.run(...row);
}

function dueOf(cells: readonly RowCells[]): number {
  return cells.reduce((sum, row) => sum + numberOfRow(row), 0);
}

function cellsOf({ id, channel, wall, mono, value, quality, reason }: RowColumns): RowCells[] {
  return id.map((row, i) => [
    row,
    channel[i] as number,
    wall[i] as number,
    mono[i] as number,
    Number.isNaN(value[i]) ? null : (value[i] as number),
    quality[i] as number,
    reason.get(row) ?? null,
  ]);
}

const anyRows = fc.array(
  fc.record({
    further: fc.constantFrom(1, 1, 1, 1, 3),
    channel: fc.integer({ min: 1, max: 9 }),
    wall: fc.integer({ min: -(2 ** 45), max: 2 ** 45 }),
    mono: fc.nat(2 ** 40),
    // SQLite keeps no sign of a zero.
    value: fc.option(fc.double({ noNaN: true }).map((value) => value + 0)),
    quality: fc.integer({ min: 0, max: 2 }),
    reason: fc.option(fc.string(), { freq: 2 }),
  }),
  { minLength: 1, maxLength: 40 },
);

describe("the rows of a stretch", () => {
  it("come back to the last bit, any doubles, words and ids that do not follow upon each other", () => {
    let id = 0;
    fc.assert(
      fc.property(anyRows, (some) => {
        const cells = some.map(({ further, channel, wall, mono, value, quality, reason }): RowCells => {
          id += further;
          return [id, channel, wall, mono, value, quality, reason];
        });
        put(cells);
        const [first, last] = [cells[0]?.[0] as number, id];
        const given = rows.sound(first, last, dueOf(cells));
        expect(given === null ? null : cellsOf(given)).toEqual(cells);
        id += 10;
      }),
      { numRuns: 200 },
    );
  });

  it.each([
    ["another value", "value = 18.5000001"],
    ["no value", "value = NULL"],
    ["another time", "wall = wall + 1"],
    ["a word for a time", "mono = 'noon'"],
    ["bytes for a value", "value = zeroblob(8)"],
    ["another channel", "channel = 4"],
    ["another reason", "reason = 'crc-failed'"],
    ["another id", "id = 3"],
  ])("with %s in one of them are not sound", (_, change) => {
    const cells: RowCells[] = [
      [1, 1, 1000, 10, 18.5, 0, null],
      [2, 3, 2000, 20, 18.25, 1, "sudden-jump"],
    ];
    put(cells);
    expect(rows.sound(1, 3, dueOf(cells))).not.toBeNull();
    bench.db.exec(`DROP TRIGGER reading_updated; UPDATE reading SET ${change} WHERE id = 1`);
    expect(rows.sound(1, 3, dueOf(cells))).toBeNull();
  });
});
