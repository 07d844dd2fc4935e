import { setImmediate as nextTurn } from "node:timers/promises";
import type { FilterDay } from "../conditions/filter-loading.js";
import { AppError } from "../errors.js";
import type { AlarmPerformance } from "../model/alarm-performance.js";
import type { ForecastRecord } from "../model/coolant-forecast.js";
import type { Instant } from "../model/instant.js";
import type { JournalSpan, Marks } from "../model/marks.js";
import type { RunRow, Series } from "../model/now.js";
import type { Reading } from "../model/reading.js";
import type { PlacedRun } from "../model/run.js";
import type { FiguresRequest } from "./alarm-figures.js";
import { readingsOf } from "./columns.js";
import type { DeedReads, DeedsRequest } from "./deeds.js";
import type { MarksRequest } from "./marks.js";
import type { FilterDaysRequest, ForecastsRequest } from "./process-reads.js";
import type {
  AfterRequest,
  KeptClockStep,
  KeptDefinition,
  KeptRun,
  KeptSession,
  KeptTransition,
  LoggedSettingChange,
  LoggedTransition,
  PageRequest,
  ReaderCalls,
  ReplayRequest,
  RunSeriesRequest,
  RunsRequest,
  SeriesRequest,
  SettingChangesRequest,
} from "./reader-calls.js";
import type { Extent, ThinnableRequest, ThinnedRequest } from "./thinning/extent.js";
import { startThread, type Thread, ThreadEnded } from "./thread.js";
import type { AskTrials } from "./trials/calls.js";

/** The longest `stale_after_s`; milliseconds. */
export const LOOK_BACK_MS = 7_200_000;

export type { LoggedSettingChange, LoggedTransition } from "./reader-calls.js";

/**
 * The reading side of the journal: what has been committed, by a read-only connection on a thread of its own, which is
 * made at the first question and again after it failed. Questions are answered one after another. All reject with
 * AppError "sqlite-too-old", "journal-too-new" or "journal-unusable" where the journal cannot be opened (also: has not
 * been made yet), "journal-unusable" if the thread ends meanwhile, and "journal-closed" after `close`.
 */
export interface JournalReader {
  /** Newest first. @throws AppError "request-invalid" */
  runs(request: RunsRequest): Promise<{ readonly runs: RunRow[]; readonly more: boolean }>;
  run(id: string): Promise<PlacedRun | null>;
  /** Newest first. @throws AppError "request-invalid" */
  alarmLog(
    request: PageRequest,
  ): Promise<{ readonly transitions: LoggedTransition[]; readonly more: boolean }>;
  /** How the alarms have done in a window of wall time. */
  alarmFigures(request: FiguresRequest): Promise<AlarmPerformance>;
  /** Newest first. @throws AppError "request-invalid" */
  settingChanges(
    request: SettingChangesRequest,
  ): Promise<{ readonly changes: LoggedSettingChange[]; readonly more: boolean }>;
  /** Who did what, newest first. @throws AppError "request-invalid" */
  deeds(request: DeedsRequest): Promise<DeedReads["deeds"]["result"]>;
  /**
   * Least value, mean of the values and greatest value of each bucket. Bad readings have no value and do not count;
   * uncertain ones do. A bucket without a value holds nulls. All buckets are equally wide, a whole number of
   * milliseconds, so there may be fewer than were asked for, and the last may reach past `to`, which nothing in it does.
   * Where buckets are wide enough to be drawn from rollups they are made whole rollups (minutes, quarters of an hour,
   * two hours or days of UTC), so that there are fewer and they begin before `from` and end after `to`: the answer says where.
   * A `Series` as JSON in UTF-8: what is sent as it is need not be made into objects and text again on the main thread.
   * @throws AppError "channel-unknown", "request-invalid"; "readings-damaged", as all that follow
   */
  seriesText(request: SeriesRequest): Promise<Uint8Array>;
  /**
   * The same by the monotonic clock of one boot, which nobody sets: for a chart of one run. Times in the answer go on from
   * `startWall`, which is `fromMono`.
   * @throws AppError "channel-unknown", "request-invalid"
   */
  runSeries(request: RunSeriesRequest): Promise<Series>;
  /**
   * The readings of a window in one boot, in the order they were written, a block at a time: at most 4096 readings, none
   * empty. The next block is fetched while one is worked on and none beyond that, however long the window; other
   * questions get their turn between. What is committed meanwhile is still given.
   */
  readingsForReplay(request: ReplayRequest): AsyncIterable<readonly Reading[]>;
  /**
   * For each channel the last one written of the readings before (not at) a moment, in the order they were written.
   * @param withinMs how far to look back; default `LOOK_BACK_MS`: what is older is stale anyway
   */
  lastReadingsBefore(bootId: string, mono: number, withinMs?: number): Promise<Reading[]>;
  /** The moment of the latest reading of a boot, by its monotonic time; null if there is none. */
  lastReadingAt(bootId: string): Promise<Instant | null>;
  /** The same of one session. */
  lastReadingOfSession(session: number): Promise<Instant | null>;
  /**
   * The runs that overlap a window of wall time, the alarms raised and the maintenance done in it, each newest first.
   * @throws AppError "request-invalid"
   */
  marks(request: MarksRequest): Promise<Marks>;
  /** From when to when the journal reaches, by the wall clock. */
  span(): Promise<JournalSpan>;
  /** What SQLite's quick check finds wrong with the file; empty if nothing. Sealed blocks are looked at by `checkReadings`. */
  integrity(): Promise<string[]>;
  /** Sealed readings whose full resolution would go by a rule that keeps that of `beforeWall` and later. At most: of runs some stay. */
  thinnable(request: ThinnableRequest): Promise<Extent>;
  /** Readings whose full resolution was taken away by the owner's rule, in blocks that reach into a window. */
  thinned(request: ThinnedRequest): Promise<Extent>;
  /** Every start of the station, oldest first. */
  sessions(): Promise<KeptSession[]>;
  /** What each channel was and from which start on, oldest first. */
  definitions(): Promise<KeptDefinition[]>;
  /** Each time the wall clock was set or became known to be, oldest first. */
  clockSteps(): Promise<KeptClockStep[]>;
  /** Oldest first, a page at a time. @throws AppError "request-invalid" */
  runsAfter(request: AfterRequest): Promise<KeptRun[]>;
  transitionsAfter(request: AfterRequest): Promise<KeptTransition[]>;
  changesAfter(request: AfterRequest): Promise<LoggedSettingChange[]>;
  /** How good the forecasts of the coolant were over some days; the same question again is answered from memory. */
  coolantForecasts(request: ForecastsRequest): Promise<ForecastRecord>;
  /** The filter on each day on which the fan turned for a while. */
  filterDays(request: FilterDaysRequest): Promise<readonly FilterDay[]>;
  /** Any question about trials. */
  readonly trials: AskTrials;
  close(): Promise<void>;
}

export interface ReaderOptions {
  readonly folder: string;
  /** The compiled reader-thread.js; by default the one beside this module. */
  readonly workerUrl?: URL;
}

/** A thread, and who is told when it has ended. */
interface Started {
  lost: () => void;
  readonly thread: Thread<ReaderCalls>;
}

/**
 * Returns at once, whether or not there is a journal: it is connected to at the first question. The thread is started now, so that
 * its program is loaded while the writing side opens the file.
 */
export function openReader({ folder, workerUrl }: ReaderOptions): JournalReader {
  const url = workerUrl ?? new URL("./reader-thread.js", import.meta.url);
  let connection: Promise<Thread<ReaderCalls>> | null = null;
  let closed = false;
  let first: Started | null = begin();

  function begin(): Started {
    const begun: Started = {
      lost: () => {
        first = null;
      },
      thread: startThread<ReaderCalls>(url, { onEnded: () => begun.lost() }),
    };
    return begun;
  }

  async function connect(lost: () => void): Promise<Thread<ReaderCalls>> {
    const begun = first ?? begin();
    first = null;
    begun.lost = lost;
    const { thread } = begun;
    try {
      await thread.call("open", { folder });
      return thread;
    } catch (error) {
      await thread.stop();
      throw error;
    }
  }

  function connected(): Promise<Thread<ReaderCalls>> {
    if (connection !== null) return connection;
    const made = connect(() => {
      if (connection === made) connection = null;
    });
    connection = made;
    return made;
  }

  async function ask<K extends keyof ReaderCalls>(
    name: K,
    params: ReaderCalls[K]["params"],
  ): Promise<ReaderCalls[K]["result"]> {
    if (closed) throw new AppError("journal-closed", "The journal has been closed.");
    try {
      const thread = await connected();
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

  async function* replay(request: ReplayRequest): AsyncGenerator<readonly Reading[], void> {
    let block = await ask("replayBlock", { ...request, after: 0 });
    for (;;) {
      const following = block.next === null ? null : ask("replayBlock", { ...request, after: block.next });
      // Whoever stops in the middle is not told how the block that was fetched ahead has failed.
      following?.catch(() => {});
      if (block.readings.count > 0) yield readingsOf(block.readings);
      if (following === null) return;
      // A block that has come already would be gone on with in the same turn, and nothing else be done meanwhile.
      await nextTurn();
      block = await following;
    }
  }

  return {
    runs: (request) => ask("runs", request),
    run: (id) => ask("run", id),
    alarmLog: (request) => ask("alarmLog", request),
    alarmFigures: (request) => ask("alarmFigures", request),
    settingChanges: (request) => ask("settingChanges", request),
    deeds: (request) => ask("deeds", request),
    seriesText: (request) => ask("seriesText", request),
    runSeries: (request) => ask("runSeries", request),
    readingsForReplay: replay,
    lastReadingsBefore: async (bootId, mono, withinMs = LOOK_BACK_MS) =>
      readingsOf(await ask("lastReadingsBefore", { bootId, mono, withinMs })),
    lastReadingAt: (bootId) => ask("lastReadingAt", { bootId }),
    lastReadingOfSession: (session) => ask("lastReadingAt", { session }),
    marks: (request) => ask("marks", request),
    span: () => ask("span", null),
    integrity: () => ask("integrity", null),
    thinnable: (request) => ask("thinnable", request),
    thinned: (request) => ask("thinned", request),
    sessions: () => ask("sessions", null),
    definitions: () => ask("definitions", null),
    clockSteps: () => ask("clockSteps", null),
    runsAfter: (request) => ask("runsAfter", request),
    transitionsAfter: (request) => ask("transitionsAfter", request),
    changesAfter: (request) => ask("changesAfter", request),
    coolantForecasts: (request) => ask("coolantForecasts", request),
    filterDays: (request) => ask("filterDays", request),
    trials: (question, params) => ask(question, params as never) as never,
    async close() {
      if (closed) return;
      closed = true;
      const thread = first?.thread ?? (await connection?.catch(() => null));
      await thread?.stop();
    },
  };
}
