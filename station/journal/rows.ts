import type { AlarmState, AlarmTransition, AlarmTransitionKind } from "../model/alarm.js";
import type { ClockState } from "../model/instant.js";
import type { RunRow } from "../model/now.js";
import type { PlacedTimes, Run, RunCause, RunEnd, RunSettings, Stamp } from "../model/run.js";
import type { LoggedSettingChange, LoggedTransition } from "./reader-calls.js";

/** A row of `run`, as SQLite gives it. */
export interface RunRecord {
  readonly number: number;
  readonly id: string;
  readonly cause: string;
  readonly start_wall: number;
  readonly start_mono: number;
  readonly boot_id: string;
  readonly clock_at_start: string;
  readonly settings: string;
  readonly simulated: number;
  readonly end_wall: number | null;
  readonly end_mono: number | null;
  readonly end_cause: string | null;
  readonly stamp: string | null;
  readonly placed_start: number | null;
  readonly placed_end: number | null;
}

export function runOf(row: RunRecord): Run {
  return {
    id: row.id,
    number: row.number,
    cause: row.cause as RunCause,
    startWall: row.start_wall,
    startMono: row.start_mono,
    bootId: row.boot_id,
    clockAtStart: row.clock_at_start as ClockState,
    settings: JSON.parse(row.settings) as RunSettings,
    simulated: row.simulated === 1,
    endWall: row.end_wall,
    endMono: row.end_mono,
    endCause: row.end_cause as RunEnd | null,
    stamp: row.stamp === null ? null : (JSON.parse(row.stamp) as Stamp),
  };
}

/** The true times of a run from before the clock was set; null where those it was stamped with are all there is. */
export function placedTimesOf({
  placed_start,
  placed_end,
  start_wall,
  end_wall,
}: RunRecord): PlacedTimes | null {
  if (placed_start === null && placed_end === null) return null;
  return { startWall: placed_start ?? start_wall, endWall: placed_end ?? end_wall };
}

/** The mean of the coolant going in; of that coming out where nothing measures the other; null where neither is known. */
function coolantMean(stamp: Stamp | null): number | null {
  const channels = Object.values(stamp?.channels ?? {}).filter((channel) => channel.known);
  const inlet = channels.find((channel) => channel.kind === "coolant-inlet");
  return (inlet ?? channels.find((channel) => channel.kind === "coolant-outlet"))?.mean ?? null;
}

export function runRowOf(row: RunRecord): RunRow {
  const run = runOf(row);
  const { id, number, cause, startWall, endWall, endCause, settings, simulated, stamp } = run;
  const flags = (stamp?.flags ?? []).map(({ flag, text }) => ({ flag, text }));
  return {
    id,
    number,
    cause,
    startWall,
    endWall,
    clockAtStart: run.clockAtStart,
    placed: placedTimesOf(row),
    endCause,
    settings,
    simulated,
    flags,
    coolantMean: coolantMean(stamp),
    lengthMs: run.endMono === null ? null : run.endMono - run.startMono,
  };
}

export interface TransitionRecord {
  readonly seq: number;
  readonly id: string;
  readonly alarm: string;
  readonly kind: string;
  readonly title: string;
  readonly priority: string;
  readonly transition: string;
  readonly from_state: string;
  readonly to_state: string;
  readonly wall: number;
  readonly mono: number;
  readonly detail: string;
  readonly run: string | null;
  readonly by: string | null;
}

export function transitionOf(row: TransitionRecord): AlarmTransition {
  return {
    id: row.id,
    alarm: row.alarm,
    kind: row.kind as AlarmTransition["kind"],
    title: row.title,
    priority: row.priority as AlarmTransition["priority"],
    transition: row.transition as AlarmTransitionKind,
    from: row.from_state as AlarmState,
    to: row.to_state as AlarmState,
    wall: row.wall,
    mono: row.mono,
    detail: row.detail,
    run: row.run,
    by: row.by,
  };
}

export function loggedTransitionOf(row: TransitionRecord): LoggedTransition {
  return { ...transitionOf(row), seq: row.seq };
}

export interface SettingChangeRecord {
  readonly id: number;
  readonly session: number;
  readonly wall: number;
  readonly mono: number;
  readonly subject: string;
  readonly path: string;
  readonly old: string | null;
  readonly new: string | null;
  readonly by: string | null;
}

/** JSON text for a column; an absent value is SQL's NULL, which JSON's own null is not. */
export function jsonOrNull(value: unknown): string | null {
  return value === undefined ? null : (JSON.stringify(value) ?? null);
}

function parsedOrAbsent(json: string | null): unknown {
  return json === null ? undefined : JSON.parse(json);
}

export function settingChangeOf(row: SettingChangeRecord): LoggedSettingChange {
  return {
    id: row.id,
    session: row.session,
    subject: row.subject,
    path: row.path,
    old: parsedOrAbsent(row.old),
    new: parsedOrAbsent(row.new),
    at: { wall: row.wall, mono: row.mono },
    by: row.by,
  };
}
