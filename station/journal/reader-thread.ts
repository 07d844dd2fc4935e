/** The thread of the read-only connection: a long question here delays the next question, and nothing else. */
import { type Db, openForReading } from "./database.js";
import type { ReaderCalls } from "./protocol.js";
import { createReads, type Reads } from "./reads.js";
import { answerCalls } from "./thread.js";

let db: Db | null = null;
let reads: Reads | null = null;

function opened(): Reads {
  if (reads === null) throw new Error("The journal is not open in this thread.");
  return reads;
}

answerCalls<ReaderCalls>(
  {
    open({ folder }) {
      db = openForReading(folder);
      reads = createReads(db);
      return null;
    },
    runs: (params) => opened().runs(params),
    run: (params) => opened().run(params),
    alarmLog: (params) => opened().alarmLog(params),
    settingChanges: (params) => opened().settingChanges(params),
    series: (params) => opened().series(params),
    runSeries: (params) => opened().runSeries(params),
    replayBlock: (params) => opened().replayBlock(params),
    lastReadingsBefore: (params) => opened().lastReadingsBefore(params),
    lastReadingAt: (params) => opened().lastReadingAt(params),
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
    lots: (params) => opened().lots(params),
    lot: (params) => opened().lot(params),
    plans: (params) => opened().plans(params),
    plan: (params) => opened().plan(params),
    preview: (params) => opened().preview(params),
    decision: (params) => opened().decision(params),
    searches: (params) => opened().searches(params),
    planRecord: (params) => opened().planRecord(params),
    specimen: (params) => opened().specimen(params),
    codes: (params) => opened().codes(params),
    entriesOf: (params) => opened().entriesOf(params),
    upkeep: (params) => opened().upkeep(params),
    maintenanceLog: (params) => opened().maintenanceLog(params),
    pastRuns: (params) => opened().pastRuns(params),
    entry: (params) => opened().entry(params),
    photoSums: (params) => opened().photoSums(params),
  },
  () => db?.close(),
);
