import { mkdirSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { expect, it } from "vitest";
import { makeBackup } from "../../../station/journal/backup/make.js";
import { restore } from "../../../station/journal/backup/restore.js";
import { exportReadings } from "../../../station/journal/exchange/export-readings.js";
import { importFile } from "../../../station/journal/exchange/import.js";
import type { Reading } from "../../../station/model/reading.js";
import { contentsOf, exported, readerOf } from "./exchange/journals.js";
import { channel, emptyFolder, foundIn, seal, sessionStart, WALL, writerBench } from "./samples.js";

const HOUR = 3_600_000;
const DEFINITIONS = [
  channel("coolant"),
  channel("room", { resolution: 0.1 }),
  channel("coarse", { resolution: 5 }),
];

/** One step of one of the channels: time forward, not at all, back; the wall clock set now and then. */
const anyStep = fc.record({
  id: fc.constantFrom("coolant", "room", "coarse", "undefined-one"),
  ms: fc.oneof(
    { weight: 6, arbitrary: fc.constant(1000) },
    { weight: 3, arbitrary: fc.integer({ min: -3000, max: 20_000 }) },
    { weight: 1, arbitrary: fc.integer({ min: 0, max: HOUR }) },
  ),
  set: fc.oneof(
    { weight: 40, arbitrary: fc.constant(0) },
    { weight: 1, arbitrary: fc.integer({ min: -400 * 24 * HOUR, max: 400 * 24 * HOUR }) },
  ),
  value: fc.oneof(
    fc.integer({ min: -160, max: 800 }).map((k) => k / 16),
    fc.integer({ min: 0, max: 500 }).map((k) => k / 10),
    fc.double({ noNaN: true, noDefaultInfinity: true }).map((n) => n + 0),
    fc.constant(Number.NaN),
  ),
  quality: fc.constantFrom("good", "good", "good", "uncertain", "bad" as const),
});
type Step = typeof anyStep extends fc.Arbitrary<infer T> ? T : never;

/** Parcels of each start of the station. */
const anyStarts = fc.array(
  fc.record({
    rebooted: fc.boolean(),
    parcels: fc.array(fc.array(anyStep, { minLength: 1, maxLength: 60 }), { minLength: 1, maxLength: 5 }),
  }),
  { minLength: 1, maxLength: 3 },
);

function given({ id, value, quality }: Step, at: Reading["at"]): Reading {
  if (quality === "bad") return { channel: id, at, value: null, quality, reason: "crc-failed" };
  return { channel: id, at, value, quality, reason: quality === "good" ? null : "sudden-jump" };
}

/** As it is to come back: no number is a bad reading, whatever it was called. */
function expected(reading: Reading): Reading {
  return Number.isNaN(reading.value)
    ? { ...reading, value: null, quality: "bad", reason: "not-a-number" }
    : reading;
}

it("any sequence of readings comes back the same: sealed, backed up and restored, exported and imported", async () => {
  let sealed = 0;
  await fc.assert(
    fc.asyncProperty(anyStarts, fc.constantFrom("csv" as const, "senml" as const), async (starts, format) => {
      const { folder, remove } = emptyFolder();
      try {
        const [from, drive, again, other] = ["from", "drive", "again", "other"].map((name) => {
          const path = join(folder, name);
          mkdirSync(path);
          return path;
        }) as [string, string, string, string];
        const all: Record<string, Reading[]> = {};
        let [mono, wall, boot] = [0, WALL, 0];
        for (const [i, { rebooted, parcels }] of starts.entries()) {
          if (rebooted) [mono, boot] = [0, boot + 1];
          const start = `start-${i}`;
          const bench = writerBench(sessionStart({ start, bootId: `boot-${boot}` }), () => 0, from);
          bench.put([], { name: "channelsDefined", params: DEFINITIONS });
          const written: Reading[] = [];
          for (const steps of parcels) {
            const readings = steps.map((step) => {
              mono = Math.max(0, mono + step.ms);
              wall += step.ms + step.set;
              return given(step, { wall, mono });
            });
            bench.put(readings);
            written.push(...readings.map(expected));
          }
          all[start] = written;
          seal(bench.db);
          sealed += bench.db.prepare("SELECT count(*) FROM block").pluck().get() as number;
          expect(foundIn(bench.db)).toEqual([]);
          bench.remove();
        }
        expect((await contentsOf(from)).readings).toEqual(all);

        const backup = makeBackup({ journal: from, to: drive, wall: WALL, keep: null });
        restore(backup.file, again, "now");
        expect((await contentsOf(again)).readings).toEqual(all);

        const reader = readerOf(again);
        const pieces = exportReadings(reader, { from: null, to: null, channels: null }, format, { rows: 0 });
        const file = await exported(folder, "readings", pieces);
        reader.close();
        await importFile(file, other);
        expect((await contentsOf(other)).readings).toEqual(all);
      } finally {
        remove();
      }
    }),
    { numRuns: 25 },
  );
  expect(sealed).toBeGreaterThan(10);
});
