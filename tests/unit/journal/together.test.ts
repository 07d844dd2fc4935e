import { readFileSync } from "node:fs";
import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Action, Parcel, Receipt } from "../../../station/journal/protocol.js";
import { passingTrouble } from "../../../station/journal/trouble.js";
import { createWriter } from "../../../station/journal/writer.js";
import {
  type Bench,
  columnsOf,
  ended,
  openRun,
  reading,
  sessionStart,
  thrownBy,
  writerBench,
} from "./samples.js";

/** A reading that the journal is made to refuse. */
const AT_FAULT = 666;

function newBench(): Bench {
  const bench = writerBench();
  bench.db.exec(
    `CREATE TRIGGER refuse BEFORE INSERT ON reading WHEN new.value = ${AT_FAULT} BEGIN SELECT RAISE(ABORT, 'no'); END`,
  );
  return bench;
}

const note = (i: number): Action => ({
  name: "maintenance",
  params: { kind: `done-${i}`, at: { wall: i, mono: i }, note: "" },
});
const begun = (id: string): Action => ({ name: "runBegun", params: openRun(id) });
const over = (id: string): Action => ({ name: "runEnded", params: ended(openRun(id)) });
const openRuns: Action = { name: "openRuns", params: null };

let bench: Bench;
beforeEach(() => {
  bench = newBench();
});
afterEach(() => bench.remove());

function tables({ db }: Bench): unknown[] {
  return [
    "SELECT channel, mono, value FROM reading ORDER BY id",
    "SELECT name FROM channel ORDER BY id",
    "SELECT sum(last_id - first_id + 1) AS rows, sum(sum) AS sum FROM stretch",
    "SELECT kind FROM maintenance ORDER BY id",
    "SELECT number, id, end_wall FROM run ORDER BY number",
    "SELECT parcel FROM session",
  ].map((sql) => db.prepare(sql).all());
}

/**
 * A frame that ends a transaction says how large the file is then; the others say 0 (bytes 4 to 7 of its head, big-endian; the head
 * of the file has 32 bytes, that of a frame 24). Source: SQLite, "WAL-mode File Format", section 2.
 */
function commitsInWal({ db }: Bench): number {
  const wal = readFileSync(`${db.name}-wal`);
  const frame = 24 + (db.pragma("page_size", { simple: true }) as number);
  let commits = 0;
  for (let at = 32; at + frame <= wal.length; at += frame) if (wal.readUInt32BE(at + 4) > 0) commits++;
  return commits;
}

describe("parcels that waited together", () => {
  const parcels: Parcel[] = [
    { number: 1, readings: columnsOf([reading("coolant", 1), reading("room", 2)]), action: note(1) },
    { number: 2, readings: null, action: over("nobody") },
    { number: 3, readings: columnsOf([reading("coolant", 3)]), action: begun("r1") },
    { number: 4, readings: null, action: openRuns },
    { number: 5, readings: columnsOf([reading("coolant", 5)]), action: null },
  ];

  it("are one commit, and each has its own answer: what one is refused for is no matter of the others", () => {
    const before = commitsInWal(bench);
    const receipts = bench.writer.commitTogether(parcels);
    expect(commitsInWal(bench) - before).toBe(1);
    expect(receipts.map(({ refused }) => refused?.code ?? null)).toEqual([
      null,
      "run-unknown",
      null,
      null,
      null,
    ]);
    expect(receipts[2]?.result).toMatchObject({ id: "r1", number: 1 });
    // One that looks sees what was done before it in the same commit.
    expect(receipts[3]?.result).toMatchObject([{ id: "r1" }]);
    // It is counted once how long the disk took.
    expect(receipts.map(({ tookMs }) => tookMs)).toEqual([0, null, null, null, null]);
  });

  it("are written in no part where the disk is full amid them, and whole once there is room", () => {
    bench.put([reading("coolant", 0)]);
    bench.db.pragma(`max_page_count = ${bench.db.pragma("page_count", { simple: true })}`);
    const many = Array.from({ length: 3000 }, (_, i) => reading("coolant", i));
    const both: Parcel[] = [
      { number: 2, readings: null, action: note(2) },
      { number: 3, readings: columnsOf(many), action: begun("r1") },
    ];
    const before = tables(bench);
    expect(passingTrouble(thrownBy(() => bench.writer.commitTogether(both)))).toMatch(/disk is full/);
    expect(tables(bench)).toEqual(before);
    bench.db.pragma("max_page_count = 1073741823");
    expect(bench.writer.commitTogether(both)).toHaveLength(2);
    expect(tables(bench)[3]).toEqual([{ kind: "done-2" }]);
  });

  it("are answered one by one where the readings of one are at fault, which are lost, and nothing else is", () => {
    const bad = columnsOf([reading("coolant", 2), reading("coolant", 3, AT_FAULT)]);
    const three: Parcel[] = [
      { number: 1, readings: columnsOf([reading("coolant", 1)]), action: note(1) },
      { number: 2, readings: bad, action: note(2) },
      { number: 3, readings: columnsOf([reading("coolant", 4)]), action: note(3) },
    ];
    const receipts = all(bench, three);
    expect(receipts.map(({ lost }) => lost)).toEqual([0, 2, 0]);
    expect(tables(bench)[3]).toEqual([1, 2, 3].map((i) => ({ kind: `done-${i}` })));
  });
});

/** As the thread does it: what does not go together goes on in the next commit. */
function all({ writer }: Pick<Bench, "writer">, parcels: readonly Parcel[]): Receipt[] {
  const receipts: Receipt[] = [];
  while (receipts.length < parcels.length)
    receipts.push(...writer.commitTogether(parcels.slice(receipts.length)));
  return receipts;
}

const anyAction: fc.Arbitrary<Action | null> = fc.oneof(
  fc.constant(null),
  fc.integer({ min: 0, max: 9 }).map(note),
  fc.constantFrom("a", "b").map(begun),
  fc.constantFrom("a", "b", "nobody").map(over),
  fc.constant(openRuns),
);
const anyParcels = fc
  .array(
    fc.record({
      values: fc.array(fc.constantFrom(18, 19.5, AT_FAULT), { maxLength: 3 }),
      channel: fc.constantFrom("coolant", "room"),
      action: anyAction,
    }),
    { minLength: 1, maxLength: 12 },
  )
  .map((specs) =>
    specs.map(
      ({ values, channel, action }, i): Parcel => ({
        number: i + 1,
        readings:
          values.length === 0 ? null : columnsOf(values.map((v, at) => reading(channel, 10 * i + at, v))),
        action,
      }),
    ),
  );

it("leave behind what they would one by one, and are answered the same, however they came together", () => {
  fc.assert(
    fc.property(anyParcels, fc.array(fc.integer({ min: 1, max: 5 }), { maxLength: 12 }), (parcels, sizes) => {
      const alone = newBench();
      const together = newBench();
      try {
        const untimed = (receipts: Receipt[]) => receipts.map(({ tookMs: _, ...receipt }) => receipt);
        const expected = untimed(parcels.map((parcel) => alone.writer.commit(parcel)));
        const answered: Receipt[] = [];
        for (let from = 0, batch = 0; from < parcels.length; batch++) {
          const to = from + (sizes[batch] ?? 3);
          answered.push(...all(together, parcels.slice(from, to)));
          from = to;
        }
        expect(untimed(answered)).toEqual(expected);
        expect(tables(together)).toEqual(tables(alone));
        // Given again to the thread that comes after, because nobody heard: nothing is done twice.
        const left = tables(together);
        const next = createWriter(together.db, sessionStart(), () => 0);
        all({ writer: next }, parcels);
        expect(tables(together)).toEqual(left);
      } finally {
        alone.remove();
        together.remove();
      }
    }),
    { numRuns: 60 },
  );
});
