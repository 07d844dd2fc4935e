import { AppError } from "../errors.js";
import type { ChannelDefinition } from "../model/channel.js";
import type { ClockState, ClockStep, Instant } from "../model/instant.js";
import type { Db } from "./database.js";
import type { AfterRequest, ReaderCalls } from "./reader-calls.js";
import { type CheckedTable, sound } from "./row-checks.js";
import {
  loggedTransitionOf,
  placedTimesOf,
  type RunRecord,
  runOf,
  type SettingChangeRecord,
  settingChangeOf,
  type TransitionRecord,
} from "./rows.js";

type Records = {
  readonly [K in
    | "sessions"
    | "definitions"
    | "clockSteps"
    | "runsAfter"
    | "transitionsAfter"
    | "changesAfter"]: (params: ReaderCalls[K]["params"]) => ReaderCalls[K]["result"];
};

const MOST_ROWS = 500;

interface SessionRow {
  readonly id: number;
  readonly start: string;
  readonly boot_id: string;
  readonly started_wall: number;
  readonly started_mono: number;
  readonly clock: string;
  readonly version: string;
  readonly simulated: number;
  readonly config_hash: string;
}

function inSession<R>(row: R & { readonly session: number }): number {
  return row.session;
}

/** Everything but the readings, oldest first and with the start of the station it belongs to: for export and verification. */
export function createRecords(db: Db): Records {
  const sessions = db.prepare<[], SessionRow>(`SELECT * FROM session WHERE ${sound("session")} ORDER BY id`);
  const definitions = db.prepare<[], { session: number; definition: string }>(
    `SELECT session, definition FROM channel_definition WHERE ${sound("channel_definition")} ORDER BY id`,
  );
  const clockSteps = db.prepare<[], Omit<ClockStep, "at"> & Instant & { readonly session: number }>(
    "SELECT session, wall, mono, shift AS shiftMs, before, after FROM clock_step ORDER BY id",
  );
  const after = <R>(table: CheckedTable, key: string) => {
    const rows = db.prepare<[number, number], R & { readonly session: number }>(
      `SELECT * FROM ${table} WHERE ${key} > ? AND ${sound(table)} ORDER BY ${key} LIMIT ?`,
    );
    return (request: AfterRequest) => rows.all(request.after, checkedLimit(request.limit));
  };
  const runs = after<RunRecord>("run", "number");
  const transitions = after<TransitionRecord>("alarm_transition", "seq");
  const changes = after<SettingChangeRecord>("setting_change", "id");

  return {
    sessions: () =>
      sessions.all().map((row) => ({
        session: row.id,
        start: row.start,
        bootId: row.boot_id,
        at: { wall: row.started_wall, mono: row.started_mono },
        clock: row.clock as ClockState,
        version: row.version,
        simulated: row.simulated === 1,
        configHash: row.config_hash,
      })),
    definitions: () =>
      definitions.all().map(({ session, definition }) => ({
        session,
        definition: JSON.parse(definition) as ChannelDefinition,
      })),
    clockSteps: () =>
      clockSteps
        .all()
        .map(({ session, wall, mono, ...step }) => ({ session, step: { ...step, at: { wall, mono } } })),
    runsAfter: (request) =>
      runs(request).map((row) => ({ session: inSession(row), run: runOf(row), placed: placedTimesOf(row) })),
    transitionsAfter: (request) =>
      transitions(request).map((row) => ({ ...loggedTransitionOf(row), session: inSession(row) })),
    changesAfter: (request) => changes(request).map(settingChangeOf),
  };
}

function checkedLimit(limit: number): number {
  if (Number.isInteger(limit) && limit >= 1 && limit <= MOST_ROWS) return limit;
  throw new AppError("request-invalid", `A page has 1 to ${MOST_ROWS} rows.`);
}
