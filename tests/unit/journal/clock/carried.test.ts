import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, expect, it } from "vitest";
import { openForWriting } from "../../../../station/journal/database.js";
import { exportReadings } from "../../../../station/journal/exchange/export-readings.js";
import { exportAlarms, exportRuns } from "../../../../station/journal/exchange/export-records.js";
import { importFile } from "../../../../station/journal/exchange/import.js";
import type { Action } from "../../../../station/journal/protocol.js";
import { createWriter } from "../../../../station/journal/writer.js";
import type { ClockStep } from "../../../../station/model/instant.js";
import type { Reading } from "../../../../station/model/reading.js";
import { contentsOf, exported, readerOf, writeJournal } from "../exchange/journals.js";
import {
  channel,
  emptyFolder,
  ended,
  openRun,
  reading,
  sessionStart,
  stamp,
  transition,
  WALL,
} from "../samples.js";

const ALL = { from: null, to: null };
/** How far the clock of the samples was behind until it was set. */
const BEHIND = 50 * 365 * 86_400_000;

let folder: string;
let remove: () => void;
beforeEach(() => {
  ({ folder, remove } = emptyFolder());
  mkdirSync(join(folder, "files"));
});
afterEach(() => remove());

const wrong = { startWall: WALL - BEHIND, clockAtStart: "not synchronised" } as const;
const run = openRun("r1", wrong);
const closed = { ...ended(run), endWall: WALL - BEHIND + 60_000, stamp: stamp(wrong) };
const begun: Action[] = [
  { name: "channelsDefined", params: [channel("coolant")] },
  { name: "runBegun", params: run },
  { name: "runEnded", params: closed },
];
const early = sessionStart({ at: { wall: WALL - BEHIND, mono: 1000 }, clock: "not synchronised" });
const was = reading("coolant", 5000);
const readings = [{ ...was, at: { ...was.at, wall: was.at.wall - BEHIND } }];

const step: ClockStep = {
  at: { wall: WALL + 120_000, mono: 121_000 },
  shiftMs: BEHIND,
  before: "not synchronised",
  after: "synchronised",
};

it.each([
  ["while the station ran", [{ name: "clockStepped", params: step } as const], []],
  [
    "before its next start, which has no run",
    [],
    [{ session: sessionStart({ start: "start-2", at: step.at }), readings: [] }],
  ],
])("the true times of a run go along to another journal: set %s", async (_when, more, later) => {
  const [from, to, files] = ["from", "to", "files"].map((name) => join(folder, name)) as [
    string,
    string,
    string,
  ];
  writeJournal(from, [{ session: early, readings, actions: [...begun, ...more] }, ...later]);
  const reader = readerOf(from);
  const runsFile = await exported(
    files,
    "runs",
    exportRuns(reader, ALL, "jsonl", { rows: 0 }, () => null),
  );
  const table = exportRuns(reader, ALL, "csv", { rows: 0 }, () => null);
  let text = "";
  for await (const piece of table) text += piece;
  expect(text).toContain(new Date(WALL).toISOString());
  const none = { from: WALL - BEHIND, to: WALL - 1 };
  const tally = { rows: 0 };
  await exported(
    files,
    "none",
    exportRuns(reader, none, "csv", tally, () => null),
  );
  expect(tally.rows).toBe(0);
  const readingsFile = await exported(
    files,
    "readings",
    exportReadings(reader, { ...ALL, channels: null }, "csv", tally),
  );
  reader.close();

  expect(await importFile(runsFile, to)).toMatchObject({ runs: 1 });
  expect(await importFile(readingsFile, to)).toMatchObject({ readings: 1 });
  expect(await importFile(runsFile, to)).toMatchObject({ runs: 0, duplicates: 1, different: [] });
  const there = readerOf(to);
  const placed = { startWall: WALL, endWall: WALL + 60_000 };
  expect(await there.runsAfter({ after: 0, limit: 5 })).toMatchObject([
    { run: { startWall: WALL - BEHIND, stamp: closed.stamp }, placed },
  ]);
  there.close();
  expect((await contentsOf(to)).readings).toEqual({ "start-1": [was] });
});

const files = () => join(folder, "files");

async function readingsFile(journal: string, name: string): Promise<string> {
  const reader = readerOf(journal);
  const pieces = exportReadings(reader, { ...ALL, channels: null }, "csv", { rows: 0 });
  const file = await exported(files(), name, pieces);
  reader.close();
  return file;
}

/** As the station does while it has nothing else to do, until everything is in its place. */
function tidied(journal: string): void {
  const db = openForWriting(journal, { busyTimeoutMs: 1000 });
  const writer = createWriter(db, sessionStart(), () => 0);
  while (writer.tidy());
  db.close();
}

it("readings of a clock that was right before it was known to be are the same in another journal, and not taken in twice", async () => {
  const [from, to] = ["from", "to"].map((name) => join(folder, name)) as [string, string];
  // The two clocks are cut to whole milliseconds by themselves.
  const right = Array.from({ length: 30 }, (_, i): Reading => {
    const each = reading("coolant", i * 1000, 20 + i / 8);
    return { ...each, at: { ...each.at, wall: each.at.wall + (i % 3) - 1 } };
  });
  const known: ClockStep = { ...step, shiftMs: 0 };
  const alarm = transition("a-1", { wall: WALL + 5000, mono: 6000 });
  writeJournal(from, [
    {
      session: sessionStart({ clock: "not synchronised" }),
      readings: right,
      actions: [
        { name: "channelsDefined", params: [channel("coolant")] },
        { name: "clockStepped", params: known },
        { name: "alarmTransition", params: alarm },
      ],
    },
  ]);
  tidied(from);
  const file = await readingsFile(from, "readings");
  const reader = readerOf(from);
  const alarmsFile = await exported(files(), "alarms", exportAlarms(reader, ALL, "jsonl", { rows: 0 }));
  reader.close();

  expect(await importFile(alarmsFile, to)).toMatchObject({ alarms: 1 });
  expect(await importFile(file, to)).toMatchObject({ readings: 30, duplicates: 0 });
  expect(await contentsOf(to)).toEqual(await contentsOf(from));
  expect(await importFile(file, to)).toMatchObject({ readings: 0, duplicates: 30 });
  expect((await contentsOf(to)).readings).toEqual({ "start-1": right });
});

it("readings that were exported before their clock was set are not taken in twice after they were placed", async () => {
  const from = join(folder, "from");
  writeJournal(from, [{ session: early, readings, actions: begun }]);
  const file = await readingsFile(from, "before");
  writeJournal(from, [{ session: sessionStart({ start: "start-2", at: step.at }), readings: [] }]);
  tidied(from);
  expect((await contentsOf(from)).readings).toEqual({ "start-1": [was] });
  expect(await importFile(file, from)).toMatchObject({ readings: 0, duplicates: 1 });
  expect((await contentsOf(from)).readings).toEqual({ "start-1": [was] });
});
