import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { readingsOf } from "../../../../station/journal/columns.js";
import { openForReading, openForWriting } from "../../../../station/journal/database.js";
import type { ExportReader } from "../../../../station/journal/exchange/export-records.js";
import type { Action, SessionStart } from "../../../../station/journal/protocol.js";
import type { KeptRun, KeptTransition, ReplayBlock } from "../../../../station/journal/reader-calls.js";
import { createReads } from "../../../../station/journal/reads.js";
import { createWriter } from "../../../../station/journal/writer.js";
import type { Reading } from "../../../../station/model/reading.js";
import { columnsOf } from "../samples.js";

/** One start of the station with what it wrote. */
export interface Written {
  readonly session: SessionStart;
  readonly readings: readonly Reading[];
  readonly actions?: readonly Action[];
}

export function writeJournal(folder: string, starts: readonly Written[]): void {
  const db = openForWriting(folder, { busyTimeoutMs: 1000 });
  for (const { session, readings, actions = [] } of starts) {
    const writer = createWriter(db, session, () => 0);
    let number = 0;
    const put = (batch: readonly Reading[], action: Action | null) => {
      number += 1;
      const parcel = { number, readings: batch.length === 0 ? null : columnsOf(batch), action };
      const { refused } = writer.commit(parcel);
      if (refused !== null) throw new Error(refused.detail);
    };
    put(readings, null);
    for (const action of actions) put([], action);
  }
  db.close();
}

/** The journal's reading side without its thread. */
export function readerOf(folder: string): ExportReader & { close(): void } {
  const db = openForReading(folder);
  const reads = createReads(db);
  return {
    sessions: async () => reads.sessions(null),
    clockSteps: async () => reads.clockSteps(null),
    definitions: async () => reads.definitions(null),
    runsAfter: async (request) => reads.runsAfter(request),
    transitionsAfter: async (request) => reads.transitionsAfter(request),
    async *readingsForReplay(request) {
      for (let after: number | null = 0; after !== null; ) {
        const block = reads.replayBlock({ ...request, after }) as ReplayBlock;
        if (block.readings.count > 0) yield readingsOf(block.readings);
        after = block.next;
      }
    },
    close: () => db.close(),
  };
}

/** All that a journal holds of what can be exported, start after start. */
export async function contentsOf(folder: string): Promise<{
  readings: Record<string, Reading[]>;
  runs: KeptRun["run"][];
  alarms: Omit<KeptTransition, "seq" | "session">[];
}> {
  const reader = readerOf(folder);
  const readings: Record<string, Reading[]> = {};
  for (const { start, bootId, session } of await reader.sessions()) {
    const window = { bootId, session, fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };
    const all: Reading[] = [];
    for await (const block of reader.readingsForReplay(window)) all.push(...block);
    if (all.length > 0) readings[start] = all;
  }
  const runs = (await reader.runsAfter({ after: 0, limit: 500 })).map(({ run }) => run);
  const alarms = (await reader.transitionsAfter({ after: 0, limit: 500 })).map(
    ({ seq: _seq, session: _session, ...transition }) => transition,
  );
  reader.close();
  return { readings, runs, alarms };
}

/** Puts what an export gives into a file. */
export async function exported(folder: string, name: string, pieces: AsyncIterable<string>): Promise<string> {
  let text = "";
  for await (const piece of pieces) text += piece;
  const file = join(folder, name);
  writeFileSync(file, text);
  return file;
}
