import { mkdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { exportReadings } from "../../../../station/journal/exchange/export-readings.js";
import { exportAlarms, exportRuns } from "../../../../station/journal/exchange/export-records.js";
import { importFile } from "../../../../station/journal/exchange/import.js";
import type { Action } from "../../../../station/journal/protocol.js";
import { REASONS, type Reading, type Reason } from "../../../../station/model/reading.js";
import type { RunSettings } from "../../../../station/model/run.js";
import {
  channel,
  emptyFolder,
  ended,
  openRun,
  reading,
  sessionStart,
  stamp,
  transition,
} from "../samples.js";
import { contentsOf, exported, readerOf, type Written, writeJournal } from "./journals.js";

const ALL = { from: null, to: null };
const definitions = [
  channel("coolant", { name: '=HYPERLINK("x"), inlet' }),
  channel("room", { name: "Room", kind: "room-temperature" }),
  channel("lid", { name: "Lid", kind: "lid-open", unit: "state" }),
];

// Times forward, equal and back, on either clock; every quality with each of its reasons; channels that nobody defined.
const anyReading: fc.Arbitrary<Reading> = fc
  .record({
    channel: fc.constantFrom("coolant", "room", "lid", "undefined-one"),
    wall: fc.oneof(fc.integer({ min: 0, max: 5 }), fc.integer({ min: 0, max: 4_000_000_000_000 })),
    mono: fc.oneof(fc.integer({ min: 0, max: 5 }), fc.integer({ min: 0, max: 100_000_000_000 })),
    value: fc.oneof(
      fc.constantFrom(0, 18.0625, -5, 1e-7, 1e21, 0.1 + 0.2),
      fc.double({ noNaN: true, noDefaultInfinity: true }),
    ),
    reason: fc.option(fc.constantFrom(...(Object.keys(REASONS) as Reason[]))),
  })
  .map(({ channel: id, wall, mono, value, reason }) => {
    const quality = reason === null ? "good" : REASONS[reason].quality;
    // SQLite keeps no negative zero.
    return { channel: id, at: { wall, mono }, value: quality === "bad" ? null : value + 0, quality, reason };
  });

const anyStarts: fc.Arbitrary<Written[]> = fc
  .array(
    fc.record({
      readings: fc.array(anyReading, { maxLength: 40 }),
      boot: fc.constantFrom("boot-1", "boot-2"),
    }),
    { minLength: 1, maxLength: 3 },
  )
  .map((starts) =>
    starts.map(({ readings, boot }, i) => ({
      session: sessionStart({ start: `start-${i + 1}`, bootId: boot, simulated: i === 1 }),
      readings,
      actions: [{ name: "channelsDefined", params: definitions }] satisfies Action[],
    })),
  );

const anyText = fc.string({ unit: "grapheme", maxLength: 30 }).filter((text) => /^\P{Cc}*$/u.test(text));
const anySettings: fc.Arbitrary<RunSettings> = fc
  .record(
    {
      material: fc.oneof(anyText, fc.constantFrom("=1+1", "'quoted", "MDF, 3 mm", 'say "cut"')),
      lot: anyText.filter((text) => text.length <= 40),
      power_pct: fc.double({ min: 0.1, max: 100, noNaN: true }),
      passes: fc.integer({ min: 1, max: 50 }),
      note: anyText,
    },
    { requiredKeys: [] },
  )
  .map((settings) => ({ ...settings }));

/** A new folder with one inside for each journal; away when the test is done. */
async function withFolders(check: (from: string, to: string, files: string) => Promise<void>): Promise<void> {
  const { folder, remove } = emptyFolder();
  try {
    const files = join(folder, "files");
    mkdirSync(files);
    await check(join(folder, "from"), join(folder, "to"), files);
  } finally {
    remove();
  }
}

describe("export and import", () => {
  for (const format of ["csv", "senml"] as const) {
    it(`give the same readings in a new journal, as ${format}; once more, none twice`, async () => {
      await fc.assert(
        fc.asyncProperty(anyStarts, (starts) =>
          withFolders(async (from, to, files) => {
            writeJournal(from, starts);
            const reader = readerOf(from);
            const tally = { rows: 0 };
            const pieces = exportReadings(reader, { ...ALL, channels: null }, format, tally);
            const file = await exported(files, "readings", pieces);
            reader.close();
            const count = starts.reduce((sum, { readings }) => sum + readings.length, 0);
            expect(tally.rows).toBe(count);
            if (count === 0 && format === "senml") return;
            expect(await importFile(file, to)).toMatchObject({ readings: count, duplicates: 0 });
            const before = await contentsOf(from);
            expect((await contentsOf(to)).readings).toEqual(before.readings);
            expect(await importFile(file, to)).toMatchObject({ readings: 0, duplicates: count });
            expect((await contentsOf(to)).readings).toEqual(before.readings);
          }),
        ),
        { numRuns: 25 },
      );
    });
  }

  it.each(["csv", "senml"] as const)(
    "give each reading in the unit its channel had then, where that was changed and changed back, as %s",
    async (format) => {
      await withFolders(async (from, to, files) => {
        const flowing = channel("flow", { name: "Flow", kind: "coolant-flowing", unit: "state" });
        const flow = channel("flow", { name: "Flow", kind: "coolant-flow", unit: "l/min" });
        writeJournal(
          from,
          [flowing, flow, flowing].map((definition, i) => ({
            session: sessionStart({ start: `start-${i + 1}`, bootId: `boot-${i + 1}` }),
            readings: [reading("flow", i * 1000, 1)],
            actions: [{ name: "channelsDefined", params: [definition] }],
          })),
        );
        const of = async (journal: string) => {
          const reader = readerOf(journal);
          const pieces = exportReadings(reader, { ...ALL, channels: null }, format, { rows: 0 });
          const file = await exported(files, "units", pieces);
          const units = (await reader.definitions()).map((each) => [each.session, each.definition.unit]);
          reader.close();
          return { file, text: readFileSync(file, "utf8"), units };
        };
        const { file, text, units } = await of(from);
        expect(await importFile(file, to)).toMatchObject({ readings: 3 });
        expect(await of(to)).toEqual({ file, text, units });
        for (const journal of [from, to]) {
          expect(await importFile(file, journal)).toMatchObject({ readings: 0, duplicates: 3 });
          expect(await of(journal)).toEqual({ file, text, units });
        }
      });
    },
  );

  it("give the same runs and alarms, whatever was typed; once more, none twice", async () => {
    const anyRuns = fc.array(fc.record({ settings: anySettings, open: fc.boolean() }), { maxLength: 6 });
    await fc.assert(
      fc.asyncProperty(anyRuns, (runs) =>
        withFolders(async (from, to, files) => {
          const actions = runs.flatMap(({ settings, open }, i): Action[] => {
            const run = openRun(`run-${i}`, { settings });
            const begun: Action = { name: "runBegun", params: run };
            return open ? [begun] : [begun, { name: "runEnded", params: ended(run) }];
          });
          const alarms = [transition("a-1", { detail: '"high", =x' }), transition("a-2", { by: "Phone" })];
          for (const params of alarms) actions.push({ name: "alarmTransition", params });
          writeJournal(from, [{ session: sessionStart(), readings: [], actions }]);
          const reader = readerOf(from);
          const tally = { rows: 0 };
          const runsFile = await exported(
            files,
            "runs",
            exportRuns(reader, ALL, "jsonl", tally, () => definitions),
          );
          const alarmsFile = await exported(files, "alarms", exportAlarms(reader, ALL, "jsonl", tally));
          reader.close();
          expect(await importFile(runsFile, to)).toMatchObject({ runs: runs.length, duplicates: 0 });
          expect(await importFile(alarmsFile, to)).toMatchObject({ alarms: 2, duplicates: 0 });
          const before = await contentsOf(from);
          expect(await contentsOf(to)).toEqual(before);
          expect(await importFile(runsFile, to)).toMatchObject({ runs: 0, duplicates: runs.length });
          expect(await importFile(alarmsFile, to)).toMatchObject({ alarms: 0, duplicates: 2 });
          expect(await contentsOf(to)).toEqual(before);
        }),
      ),
      { numRuns: 25 },
    );
  });

  it("leave out what is outside the times and the channels that were asked for", async () => {
    await withFolders(async (from, _to, files) => {
      const at = (wall: number, id: string): Reading => ({
        channel: id,
        at: { wall, mono: wall },
        value: 1,
        quality: "good",
        reason: null,
      });
      const readings = [at(100, "coolant"), at(200, "room"), at(200, "coolant"), at(300, "coolant")];
      const actions: Action[] = [{ name: "channelsDefined", params: definitions }];
      writeJournal(from, [{ session: sessionStart(), readings, actions }]);
      const reader = readerOf(from);
      const tally = { rows: 0 };
      const query = { from: 200, to: 300, channels: ["coolant"] };
      const file = await exported(files, "some", exportReadings(reader, query, "csv", tally));
      expect(tally.rows).toBe(1);
      const unknown = exportReadings(reader, { ...ALL, channels: ["nowhere"] }, "csv", tally);
      await expect(exported(files, "none", unknown)).rejects.toMatchObject({ code: "channel-unknown" });
      reader.close();
      expect(await importFile(file, join(files, "to"))).toMatchObject({ readings: 1 });
    });
  });

  it("into a journal with runs of its own, keep those, and give a taken number anew", async () => {
    await withFolders(async (from, to, files) => {
      const run = (id: string): Action[] => [
        { name: "runBegun", params: openRun(id) },
        { name: "runEnded", params: ended(openRun(id)) },
      ];
      writeJournal(from, [{ session: sessionStart(), readings: [], actions: [...run("a"), ...run("b")] }]);
      const there = sessionStart({ start: "start-2", bootId: "boot-2" });
      const own = openRun("own", { bootId: "boot-2" });
      writeJournal(to, [{ session: there, readings: [], actions: [{ name: "runBegun", params: own }] }]);
      const reader = readerOf(from);
      const pieces = exportRuns(reader, ALL, "jsonl", { rows: 0 }, () => null);
      const file = await exported(files, "runs", pieces);
      reader.close();
      expect(await importFile(file, to)).toMatchObject({ runs: 2, renumbered: [1, 2] });
      const { runs } = await contentsOf(to);
      expect(runs.map(({ id, number }) => [id, number])).toEqual([
        ["own", 1],
        ["a", 2],
        ["b", 3],
      ]);
      expect(runs[1]?.stamp).toEqual(stamp());
    });
  });
});
