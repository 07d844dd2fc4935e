import { AppError } from "../errors.js";
import type { AlarmTransition } from "../model/alarm.js";
import type { ChannelDefinition } from "../model/channel.js";
import type { ClockStep } from "../model/instant.js";
import type { Run, RunSettings } from "../model/run.js";
import type { ClockRecord } from "./clock/record.js";
import { placedWall } from "./clock/spans.js";
import type { Db } from "./database.js";
import { createDeedActions } from "./deeds.js";
import { createNoticeActions } from "./notices.js";
import type {
  Action,
  ActionMap,
  ActionName,
  ActionResult,
  Maintained,
  Maintenance,
  RunSettingsChange,
  SettingChange,
  ThinOrder,
} from "./protocol.js";
import { sound } from "./row-checks.js";
import { jsonOrNull, type RunRecord, runOf, type TransitionRecord, transitionOf } from "./rows.js";
import { makeIndex } from "./soundness/indexes.js";
import { createTrialActions } from "./trials/actions.js";

/** Actions that write nothing themselves: nothing has to reach the disk for them. */
const LOOKS: ReadonlySet<ActionName> = new Set([
  "thin",
  "openRuns",
  "lastMaintenance",
  "lastAlarmStates",
  "alarmStatesBefore",
  "lastSetting",
  "startAfterRun",
  "lastDeeds",
  "noticesLeft",
]);

export function onlyLooks(action: Action): boolean {
  return LOOKS.has(action.name);
}

export interface Actions {
  /**
   * Inside a transaction of the caller's.
   * @throws AppError "run-unknown", "run-not-open", "request-invalid"
   */
  perform(action: Action): ActionResult;
  /** The answer to an action that had been committed before, when its receipt was lost with the thread. */
  repeat(action: Action): ActionResult;
}

type Handlers = { readonly [K in ActionName]: (params: ActionMap[K]["params"]) => ActionMap[K]["result"] };

/**
 * @param channelNumber the number of a channel by its id, given out on first use
 * @param thin takes the order in; it is carried out between commits
 */
export function createActions(
  db: Db,
  { number: session, bootId: ownBoot }: { readonly number: number; readonly bootId: string },
  channelNumber: (id: string) => number,
  clock: ClockRecord,
  thin: (order: ThinOrder) => void,
): Actions {
  const runById = db.prepare<[string], RunRecord>(`SELECT * FROM run WHERE id = ? AND ${sound("run")}`);
  const insertRun = db.prepare(
    `INSERT INTO run (number, id, session, cause, start_wall, start_mono, boot_id, clock_at_start, settings, specimen, simulated, placed_start)
     VALUES ((SELECT coalesce(max(number), 0) + 1 FROM run), ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
  );
  const endRun = db.prepare(
    "UPDATE run SET end_wall = ?, end_mono = ?, end_cause = ?, stamp = ?, placed_end = ? WHERE id = ?",
  );
  const setRunSettings = db.prepare("UPDATE run SET settings = ?, specimen = ? WHERE id = ?");
  const openRuns = db.prepare<[], RunRecord>(
    `SELECT * FROM run WHERE ${sound("run")} AND end_wall IS NULL ORDER BY number`,
  );
  const startAfterRun = db
    .prepare<[string], number | null>(
      `SELECT min(later.started_mono) FROM run
         JOIN session AS its ON its.id = run.session
         JOIN session AS later ON later.boot_id = its.boot_id AND later.id > its.id
       WHERE run.id = ?`,
    )
    .pluck();
  const insertChange = db.prepare(
    "INSERT INTO setting_change (session, wall, mono, subject, path, old, new, by) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
  );
  // An id that is there already is the same transition given twice.
  const insertTransition = db.prepare(
    `INSERT INTO alarm_transition
       (id, session, alarm, kind, title, priority, transition, from_state, to_state, wall, mono, detail, run, by)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO NOTHING`,
  );
  const lastTransitions = db.prepare<[number, number], TransitionRecord>(
    `SELECT * FROM alarm_transition WHERE ${sound("alarm_transition")} AND seq IN (
       SELECT max(seq) FROM alarm_transition WHERE session <= ? GROUP BY alarm
       UNION SELECT max(seq) FROM alarm_transition WHERE session <= ? AND transition = 'raised' GROUP BY alarm)
     ORDER BY seq`,
  );
  const insertMaintenance = db.prepare(
    "INSERT INTO maintenance (session, kind, wall, mono, note) VALUES (?, ?, ?, ?, ?)",
  );
  const lastMaintenance = db.prepare<[string], Maintained>(
    `SELECT m.wall, m.mono, s.boot_id AS bootId FROM maintenance m JOIN session s ON s.id = m.session
     WHERE m.kind = ? AND ${sound("maintenance", "m")} ORDER BY m.id DESC LIMIT 1`,
  );
  const lastSetting = db.prepare<[string, string], { new: string | null; wall: number }>(
    `SELECT new, wall FROM setting_change WHERE subject = ? AND ${sound("setting_change")} AND path = ?
     ORDER BY id DESC LIMIT 1`,
  );
  const lastDefinition = db
    .prepare<[number], string>(
      "SELECT definition FROM channel_definition WHERE channel = ? ORDER BY id DESC LIMIT 1",
    )
    .pluck();
  const insertDefinition = db.prepare(
    "INSERT INTO channel_definition (channel, session, name, kind, unit, definition) VALUES (?, ?, ?, ?, ?, ?)",
  );

  /** What is told late, from before the clock was set, is placed as it comes. */
  function wallOf(at: { readonly wall: number; readonly mono: number }): number {
    return placedWall(clock.spansOf(ownBoot), at.mono) ?? at.wall;
  }

  function existingRun(id: string): Run {
    const row = runById.get(id);
    if (row === undefined) throw new AppError("run-unknown", `The journal has no run with the id ${id}.`);
    return runOf(row);
  }

  function runBegun(run: Run): Run {
    if (runById.get(run.id) === undefined) {
      const { id, cause, startWall, startMono, bootId, clockAtStart, settings, simulated } = run;
      const json = JSON.stringify(settings);
      const placed = placedWall(clock.spansOf(bootId), startMono);
      insertRun.run(
        ...[
          id,
          session,
          cause,
          startWall,
          startMono,
          bootId,
          clockAtStart,
          json,
          settings.specimen ?? null,
          simulated ? 1 : 0,
          placed,
        ],
      );
    }
    return existingRun(run.id);
  }

  function runEnded(run: Run): null {
    const { endWall, endMono, endCause, stamp } = run;
    if (endWall === null || endMono === null || endCause === null || stamp === null) {
      throw new AppError(
        "request-invalid",
        "A run that is ended has its end, the cause of its end and its stamp.",
      );
    }
    const known = existingRun(run.id);
    if (known.endWall !== null)
      throw new AppError("run-not-open", `Run ${known.number} has been ended before.`);
    const placed = placedWall(clock.spansOf(known.bootId), endMono);
    endRun.run(endWall, endMono, endCause, JSON.stringify(stamp), placed, run.id);
    return null;
  }

  function runSettingsChanged({ id, settings, at, by }: RunSettingsChange): null {
    const before = existingRun(id).settings;
    const paths = new Set([...Object.keys(before), ...Object.keys(settings)]) as Set<keyof RunSettings>;
    for (const path of paths) {
      if (before[path] === settings[path]) continue;
      settingChanged({ subject: `run:${id}`, path, old: before[path], new: settings[path], at, by });
    }
    setRunSettings.run(JSON.stringify(settings), settings.specimen ?? null, id);
    return null;
  }

  function settingChanged(change: SettingChange): null {
    const { subject, path, at, by } = change;
    insertChange.run(
      session,
      wallOf(at),
      at.mono,
      subject,
      path,
      jsonOrNull(change.old),
      jsonOrNull(change.new),
      by,
    );
    return null;
  }

  function alarmTransition(t: AlarmTransition): null {
    const states = [t.transition, t.from, t.to];
    insertTransition.run(
      ...[
        t.id,
        session,
        t.alarm,
        t.kind,
        t.title,
        t.priority,
        ...states,
        wallOf(t),
        t.mono,
        t.detail,
        t.run,
        t.by,
      ],
    );
    return null;
  }

  function maintenance({ kind, at, note }: Maintenance): null {
    insertMaintenance.run(session, kind, wallOf(at), at.mono, note);
    return null;
  }

  function clockStepped(step: ClockStep): null {
    clock.stepped(session, step);
    return null;
  }

  function channelsDefined(definitions: readonly ChannelDefinition[]): null {
    for (const definition of definitions) {
      const channel = channelNumber(definition.id);
      const json = JSON.stringify(definition);
      if (lastDefinition.get(channel) === json) continue;
      insertDefinition.run(channel, session, definition.name, definition.kind, definition.unit, json);
    }
    return null;
  }

  const trials = createTrialActions(db, session, wallOf, settingChanged);
  const handlers: Handlers = {
    ...trials,
    ...createDeedActions(db, session, wallOf),
    ...createNoticeActions(db, session, wallOf),
    channelsDefined,
    runBegun,
    runEnded,
    runSettingsChanged,
    alarmTransition,
    settingChanged,
    maintenance,
    clockStepped,
    flush: () => null,
    indexMade: (name) => {
      makeIndex(db, name);
      return null;
    },
    thin: (order) => {
      thin(order);
      return null;
    },
    startAfterRun: (id) => startAfterRun.get(id) ?? null,
    openRuns: () => openRuns.all().map(runOf),
    lastMaintenance: (kind) => lastMaintenance.get(kind) ?? null,
    lastSetting: ({ subject, path }) => {
      const row = lastSetting.get(subject, path);
      return row === undefined
        ? null
        : { value: row.new === null ? undefined : JSON.parse(row.new), wall: row.wall };
    },
    lastAlarmStates: () => lastTransitions.all(session, session).map(transitionOf),
    alarmStatesBefore: () => lastTransitions.all(session - 1, session - 1).map(transitionOf),
  };

  function perform<K extends ActionName>(action: Action<K>): ActionResult {
    const handler = handlers[action.name] as (params: ActionMap[K]["params"]) => ActionResult;
    return handler(action.params);
  }

  return {
    perform,
    repeat(action) {
      if (action.name === "runBegun") return existingRun(action.params.id);
      // These answer what is there already as it is.
      if (action.name === "planLaid" || action.name === "entriesKept" || action.name === "lotKept")
        return perform(action);
      return onlyLooks(action) ? perform(action) : null;
    },
  };
}
