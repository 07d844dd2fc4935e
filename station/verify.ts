import { statSync } from "node:fs";
import { join } from "node:path";
import { setImmediate as nextTurn } from "node:timers/promises";
import { AppError } from "./errors.js";
import { JOURNAL_FILE, openForReading } from "./journal/database.js";
import { eachRow } from "./journal/pages.js";
import { type JournalReader, openReader } from "./journal/reader.js";
import type { AfterRequest, KeptRun } from "./journal/reader-calls.js";
import { mendIndexes, mendReadings } from "./journal/soundness/mend.js";
import { createProgress, type Progress } from "./journal/soundness/progress.js";
import { type ReadingsReport, reportReadings } from "./journal/soundness/readings-report.js";
import { keptRules } from "./kept-rules.js";
import { type Difference, differences } from "./trials/differences.js";
import { type KeptRules, rulesOf } from "./trials/past-rules.js";
import { type Inventory, takeInventory } from "./trials/photos/inventory.js";
import { photoFolder } from "./trials/photos/names.js";
import { restamp } from "./trials/recover.js";
import { folderOfCall, JOURNAL_OPTIONS, print, type Verb } from "./verb.js";
import { wordsOfVerification } from "./verify-words.js";

/** A run whose stamp is not what its readings give. */
export interface DoubtfulRun {
  readonly number: number;
  readonly id: string;
  /** Why it could not be worked out again; null where it could, and differs. */
  readonly reason: string | null;
  readonly differences: readonly Difference[];
}

/** A run whose stamp cannot be worked out again, because the disk had no room for its readings and they were never kept. */
export type UnkeptRun = Pick<DoubtfulRun, "number" | "id">;

export interface RunsReport {
  /** Ended runs looked at, and those whose stamp was worked out again to the same. */
  readonly runs: number;
  readonly agree: number;
  /** Runs that have not ended and so have no stamp. */
  readonly open: number;
  readonly doubtful: readonly DoubtfulRun[];
  readonly unkept: readonly UnkeptRun[];
}

export interface VerifyReport extends RunsReport {
  readonly ok: boolean;
  readonly journal: string;
  /** What SQLite's check finds wrong with the file; empty if nothing. */
  readonly damage: readonly string[];
  /** Sealed blocks and rollups; null where the file is damaged, and they were not looked at. */
  readonly readings: ReadingsReport | null;
  /** Whether it was asked to make wrong rollups and indexes anew. */
  readonly repair: boolean;
  /** The files of photos against their rows; null where the file is damaged, and they were not looked at. */
  readonly photos: Pick<Inventory, "missing" | "damaged" | "strays"> | null;
  /** Indexes that were made anew from their tables. */
  readonly indexes: readonly string[];
  /** What could not be looked at in a damaged file; null if all could. */
  readonly unseen: string | null;
}

/** The part of the journal's reading side that is needed here. */
export type VerifyReader = Pick<
  JournalReader,
  "integrity" | "definitions" | "changesAfter" | "lastReadingsBefore" | "readingsForReplay"
> & {
  runsAfter(request: AfterRequest): Promise<Pick<KeptRun, "session" | "run">[]>;
};

export interface Verification {
  /** The folder. */
  readonly journal: string;
  readonly repair: boolean;
  /** Makes the indexes anew that have lost entries, where that was asked for; their names. */
  indexes?(): readonly string[];
  /** Looks at every sealed block and rollup, and makes them anew where that was asked for. */
  readings(): Promise<ReadingsReport>;
  /** Reads every photo that has a row. */
  photos(): Promise<Pick<Inventory, "missing" | "damaged" | "strays">>;
}

/**
 * Checks the file, then what the readings say: every sealed block and every rollup, and every ended run's stamp worked out
 * again by the rules of its time. Nothing is written into a file that is damaged in more than its indexes.
 */
export async function verifyJournal(
  reader: VerifyReader,
  {
    journal,
    repair,
    indexes: mendThem = () => [],
    readings: lookAtReadings,
    photos: lookAtPhotos,
  }: Verification,
): Promise<VerifyReport> {
  const indexes = mendThem();
  const damage = await reader.integrity();
  const readings = damage.length > 0 ? null : await lookAtReadings();
  const photos = damage.length > 0 ? null : await lookAtPhotos();
  let stamps: RunsReport = { runs: 0, agree: 0, open: 0, doubtful: [], unkept: [] };
  let unseen: string | null = null;
  try {
    stamps = await verifyRuns(reader);
  } catch (error) {
    // Of a damaged file as much is said as can be.
    if (damage.length === 0) throw error;
    unseen = `the runs (${error instanceof Error ? error.message : String(error)})`;
  }
  const sound = readings !== null && readings.damaged.count + readings.wrong.count === 0;
  const pictured = photos !== null && photos.missing.length + photos.damaged.length === 0;
  const ok = damage.length === 0 && sound && pictured && stamps.doubtful.length === 0;
  return { ok, journal, damage, readings, photos, repair, indexes, unseen, ...stamps };
}

async function verifyRuns(reader: VerifyReader): Promise<RunsReport> {
  const rules = await keptRules(reader);
  const doubtful: DoubtfulRun[] = [];
  const unkept: UnkeptRun[] = [];
  let runs = 0;
  let open = 0;
  for await (const { session, run } of eachRow(reader.runsAfter, (row) => row.run.number)) {
    if (run.stamp === null) {
      open += 1;
      continue;
    }
    runs += 1;
    const { number, id } = run;
    const found = await doubtsOf(reader, run, session, rules);
    if (found === null) continue;
    if (found.reason === null && run.stamp.readingsHeld === true) unkept.push({ number, id });
    else doubtful.push({ number, id, ...found });
  }
  return { runs, agree: runs - doubtful.length - unkept.length, open, doubtful, unkept };
}

type Doubts = Pick<DoubtfulRun, "reason" | "differences">;

/** Null where the stamp agrees. */
async function doubtsOf(
  reader: VerifyReader,
  run: Parameters<typeof rulesOf>[0],
  session: number,
  rules: KeptRules,
): Promise<Doubts | null> {
  const ofItsTime = rulesOf(run, session, rules);
  if (ofItsTime === null) {
    return { reason: "the journal does not hold what its channels were at that time", differences: [] };
  }
  try {
    const found = differences(run.stamp, await restamp(run, reader, ofItsTime));
    return found.length === 0 ? null : { reason: null, differences: found };
  } catch (error) {
    if (!(error instanceof AppError) || error.code !== "readings-damaged") throw error;
    return { reason: `its stamp cannot be worked out again. ${error.message}`, differences: [] };
  }
}

/** A smaller journal is done before anyone wonders. */
const LONG_BYTES = 100e6;

/** On the other stream than the report. */
function progressOf(folder: string): Progress {
  const long = (statSync(join(folder, JOURNAL_FILE), { throwIfNoEntry: false })?.size ?? 0) >= LONG_BYTES;
  return createProgress((line) => {
    if (long) process.stderr.write(line);
  });
}

async function lookAt(folder: string, progress: Progress): Promise<ReadingsReport> {
  const db = openForReading(folder);
  try {
    return await reportReadings(db, { mend: false }, async (step) => {
      progress.step(step);
      await nextTurn();
    });
  } finally {
    db.close();
  }
}

export const verifyVerb: Verb = {
  help: `  verify           whether the journal is sound: the file, every block of readings and its rollups, every run's stamp
    --repair         repairs wrong rollups and indexes from the readings, and touches nothing else; stop the station first
`,
  options: { ...JOURNAL_OPTIONS, repair: { type: "boolean" } },
  operands: 0,
  async run(call) {
    const folder = await folderOfCall(call);
    const repair = call.given("repair");
    const progress = progressOf(folder);
    progress.say("Looking at the file.");
    const reader = openReader({ folder });
    try {
      const report = await verifyJournal(reader, {
        journal: folder,
        repair,
        photos: async () => takeInventory(photoFolder(folder), await reader.trials("photoSums", null)),
        indexes: () => (repair ? mendIndexes(folder) : []),
        readings: () => (repair ? mendReadings(folder, progress) : lookAt(folder, progress)),
      });
      print(call.json ? `${JSON.stringify(report)}\n` : wordsOfVerification(report));
      return report.ok ? 0 : 1;
    } finally {
      await reader.close();
    }
  },
};
