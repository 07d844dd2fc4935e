/** The thread of the read-only connection: a long question here delays the next question, and nothing else. */

import { localDay } from "../cautions/local-day.js";
import type { createAlarmFigures } from "./alarm-figures.js";
import { type Db, openForReading } from "./database.js";
import type { createProcessReads } from "./process-reads.js";
import type { ReaderCalls } from "./reader-calls.js";
import { createReads, type Reads } from "./reads.js";
import { answerCalls, giveWay } from "./thread.js";
import type { createTrialReads } from "./trials/reads.js";
import type { createReviewReads } from "./trials/review-reads.js";
import type { createTrialViews } from "./trials/views.js";

let db: Db | null = null;
let reads: Reads | null = null;
let figures: Promise<ReturnType<typeof createAlarmFigures>> | null = null;
let trialReads: Promise<ReturnType<typeof createTrialReads>> | null = null;
let trialViews: Promise<ReturnType<typeof createTrialViews>> | null = null;
let processReads: Promise<ReturnType<typeof createProcessReads>> | null = null;
let reviewReads: Promise<ReturnType<typeof createReviewReads>> | null = null;

function opened(): Reads {
  if (reads === null) throw new Error("The journal is not open in this thread.");
  return reads;
}

function connection(): Db {
  if (db === null) throw new Error("The journal is not open in this thread.");
  return db;
}

/** Loaded when first asked, as what follows. */
async function alarmFigures(): Promise<ReturnType<typeof createAlarmFigures>> {
  const open = connection();
  figures ??= import("./alarm-figures.js").then((module) => module.createAlarmFigures(open));
  return figures;
}

/** Loaded when first asked: the first chart must not wait for it. */
function trials(): Promise<ReturnType<typeof createTrialReads>> {
  const open = connection();
  trialReads ??= import("./trials/reads.js").then((module) => module.createTrialReads(open));
  return trialReads;
}

/** The same: what trials are judged by is half of the program, and a station at which no plan runs does without. */
function views(): Promise<ReturnType<typeof createTrialViews>> {
  const open = connection();
  trialViews ??= import("./trials/views.js").then((module) => module.createTrialViews(open));
  return trialViews;
}

/** The runs that are reviewed are those on the disk, and so are the costs beside them. */
const NOTHING_LATE = { entries: [], specimens: [], runs: [] };

/** The same: the statistics are wanted now and then. */
async function reviews(): Promise<ReturnType<typeof createReviewReads>> {
  const open = connection();
  const { decision } = await views();
  reviewReads ??= import("./trials/review-reads.js").then((module) =>
    module.createReviewReads(open, (id, facts) => decision({ id, facts, late: NOTHING_LATE })),
  );
  return reviewReads;
}

/** The same: it is asked now and then. */
function process(): Promise<ReturnType<typeof createProcessReads>> {
  const { series } = opened();
  processReads ??= import("./process-reads.js").then((module) => module.createProcessReads(series, localDay));
  return processReads;
}

giveWay();
answerCalls<ReaderCalls>(
  {
    open({ folder }) {
      db = openForReading(folder);
      reads = createReads(db);
      return null;
    },
    runs: (params) => opened().runs(params),
    run: (params) => opened().run(params),
    alarmFigures: async (params) => (await alarmFigures())(params),
    alarmLog: (params) => opened().alarmLog(params),
    deeds: (params) => opened().deeds(params),
    settingChanges: (params) => opened().settingChanges(params),
    seriesText: (params) => Buffer.from(JSON.stringify(opened().series(params))),
    runSeries: (params) => opened().runSeries(params),
    replayBlock: (params) => opened().replayBlock(params),
    lastReadingsBefore: (params) => opened().lastReadingsBefore(params),
    lastReadingAt: (params) => opened().lastReadingAt(params),
    coolantForecasts: async (params) => (await process()).coolantForecasts(params),
    filterDays: async (params) => (await process()).filterDays(params),
    marks: (params) => opened().marks(params),
    span: (params) => opened().span(params),
    integrity: (params) => opened().integrity(params),
    thinnable: (params) => opened().thinnable(params),
    thinned: (params) => opened().thinned(params),
    sessions: (params) => opened().sessions(params),
    clockSteps: (params) => opened().clockSteps(params),
    definitions: (params) => opened().definitions(params),
    runsAfter: (params) => opened().runsAfter(params),
    transitionsAfter: (params) => opened().transitionsAfter(params),
    changesAfter: (params) => opened().changesAfter(params),
    lots: async (params) => (await trials()).lots(params),
    lot: async (params) => (await trials()).lot(params),
    plans: async (params) => (await trials()).plans(params),
    plan: async (params) => (await views()).plan(params),
    planText: async (params) => (await views()).planText(params),
    planTable: async (params) => (await views()).planTable(params),
    specimenView: async (params) => (await views()).specimenView(params),
    preview: async (params) => (await views()).preview(params),
    decision: async (params) => (await views()).decision(params),
    searches: async (params) => (await views()).searches(params),
    planCore: async (params) => (await trials()).planCore(params),
    specimen: async (params) => (await trials()).specimen(params),
    codes: async (params) => (await trials()).codes(params),
    entriesOf: async (params) => (await trials()).entriesOf(params),
    upkeep: async (params) => (await trials()).upkeep(params),
    maintenanceLog: async (params) => (await trials()).maintenanceLog(params),
    pastRuns: async (params) => (await trials()).pastRuns(params),
    entry: async (params) => (await trials()).entry(params),
    review: async (params) => (await reviews()).review(params),
    photoSums: async (params) => (await trials()).photoSums(params),
  },
  () => db?.close(),
);
