import { setImmediate as nextTurn } from "node:timers/promises";
import { AppError } from "../errors.js";
import type { Instant } from "../model/instant.js";
import type { RunRow, Series } from "../model/now.js";
import type { Reading } from "../model/reading.js";
import type { Run } from "../model/run.js";
import { type Columns, readingsOf } from "./columns.js";
import type {
  LoggedSettingChange,
  LoggedTransition,
  PageRequest,
  ReaderCalls,
  ReplayRequest,
  RunsRequest,
  SeriesRequest,
  SettingChangesRequest,
} from "./protocol.js";
import { startThread, type Thread, ThreadEnded } from "./thread.js";

const LOOK_BACK_MS = 7_200_000;

export type { LoggedSettingChange, LoggedTransition } from "./protocol.js";

/**
 * The reading side of the journal: what has been committed, by a read-only connection on a thread of its own. Questions
 * are answered one after another. All reject with AppError "journal-unusable" if the thread ends meanwhile (the next
 * question starts a new one) and "journal-closed" after `close`.
 */
export interface JournalReader {
  /** Newest first. @throws AppError "request-invalid" */
  runs(request: RunsRequest): Promise<{ readonly runs: RunRow[]; readonly more: boolean }>;
  run(id: string): Promise<Run | null>;
  /** Newest first. @throws AppError "request-invalid" */
  alarmLog(
    request: PageRequest,
  ): Promise<{ readonly transitions: LoggedTransition[]; readonly more: boolean }>;
  /** Newest first. @throws AppError "request-invalid" */
  settingChanges(
    request: SettingChangesRequest,
  ): Promise<{ readonly changes: LoggedSettingChange[]; readonly more: boolean }>;
  /**
   * Least value, mean of the values and greatest value of each bucket. Bad readings have no value and do not count;
   * uncertain ones do. A bucket without a value holds nulls. All buckets are equally wide, a whole number of
   * milliseconds, so there may be fewer than were asked for, and the last may reach past `to`, which nothing in it does.
   * @throws AppError "channel-unknown", "request-invalid"
   */
  series(request: SeriesRequest): Promise<Series>;
  /** The readings of a window in one boot, in the order they were written. */
  readingsForReplay(request: ReplayRequest): Promise<Reading[]>;
  /**
   * For each channel the last one written of the readings before (not at) a moment, in the order they were written.
   * @param withinMs how far to look back; default 7 200 000, the longest `stale_after_s`: what is older is stale anyway
   */
  lastReadingsBefore(bootId: string, mono: number, withinMs?: number): Promise<Reading[]>;
  /** The moment of the latest reading of a boot, by its monotonic time; null if there is none. */
  lastReadingAt(bootId: string): Promise<Instant | null>;
  /** The same of one session. */
  lastReadingOfSession(session: number): Promise<Instant | null>;
  /** What SQLite's quick check finds wrong with the file; empty if nothing. */
  integrity(): Promise<string[]>;
  close(): Promise<void>;
}

export interface ReaderOptions {
  readonly folder: string;
  /** The compiled reader-thread.js; by default the one beside this module. */
  readonly workerUrl?: URL;
}

/** Turns columns into objects a few milliseconds at a time: nothing on the main thread may hold it up for long. */
async function unpack(columns: readonly Columns[]): Promise<Reading[]> {
  const readings: Reading[] = [];
  for (const part of columns) {
    for (const reading of readingsOf(part)) readings.push(reading);
    await nextTurn();
  }
  return readings;
}

/**
 * The writing side must have made the journal.
 * @throws AppError "sqlite-too-old", "journal-too-new", "journal-unusable"
 */
export async function openReader({ folder, workerUrl }: ReaderOptions): Promise<JournalReader> {
  const url = workerUrl ?? new URL("./reader-thread.js", import.meta.url);
  let opening: Promise<Thread<ReaderCalls>> | null = null;
  let closed = false;

  async function connect(): Promise<Thread<ReaderCalls>> {
    const thread = startThread<ReaderCalls>(url, {
      onEnded() {
        opening = null;
      },
    });
    try {
      await thread.call("open", { folder });
      return thread;
    } catch (error) {
      await thread.stop();
      throw error;
    }
  }

  async function ask<K extends keyof ReaderCalls>(
    name: K,
    params: ReaderCalls[K]["params"],
  ): Promise<ReaderCalls[K]["result"]> {
    if (closed) throw new AppError("journal-closed", "The journal has been closed.");
    opening ??= connect();
    const current = opening;
    try {
      const thread = await current;
      return await thread.call(name, params);
    } catch (error) {
      if (error instanceof ThreadEnded) {
        throw new AppError(
          "journal-unusable",
          `The journal's reading thread ended: ${error.message}. Ask again.`,
        );
      }
      throw error;
    }
  }

  opening = connect();
  try {
    await opening;
  } catch (error) {
    closed = true;
    if (error instanceof ThreadEnded)
      throw new AppError("journal-unusable", `The journal's reading thread: ${error.message}.`);
    throw error;
  }

  return {
    runs: (request) => ask("runs", request),
    run: (id) => ask("run", id),
    alarmLog: (request) => ask("alarmLog", request),
    settingChanges: (request) => ask("settingChanges", request),
    series: (request) => ask("series", request),
    readingsForReplay: async (request) => unpack(await ask("readingsForReplay", request)),
    lastReadingsBefore: async (bootId, mono, withinMs = LOOK_BACK_MS) =>
      unpack(await ask("lastReadingsBefore", { bootId, mono, withinMs })),
    lastReadingAt: (bootId) => ask("lastReadingAt", { bootId }),
    lastReadingOfSession: (session) => ask("lastReadingAt", { session }),
    integrity: () => ask("integrity", null),
    async close() {
      if (closed) return;
      closed = true;
      const thread = await opening?.catch(() => null);
      await thread?.stop();
    },
  };
}
