import { defineChannel } from "../../channels/define.js";
import { AppError } from "../../errors.js";
import { type ChannelDefinition, idSchema } from "../../model/channel.js";
import type { Reading } from "../../model/reading.js";
import type { Run } from "../../model/run.js";
import { gatherColumns } from "../columns.js";
import type { Db } from "../database.js";
import type { Action, ActionResult, SessionStart } from "../protocol.js";
import { errorOf } from "../refusal.js";
import { type RunRecord, runOf } from "../rows.js";
import { createWriter, lastParcel, type Writer } from "../writer.js";
import { STAMP_CHANNELS_PATH, subjectOfRun } from "./brought.js";
import type { CarriedChannel, CarriedSession, ReadReading } from "./carried.js";
import { createDoubles, type Doubles } from "./doubles.js";
import type { CarriedAlarm, CarriedClockStep, CarriedRun } from "./record-lines.js";
import { named, Refused } from "./refused.js";

export interface Imported {
  readings: number;
  runs: number;
  alarms: number;
  /** What the journal held already, and was not kept twice. */
  duplicates: number;
  /** Readings that the owner's rule had taken away, whose rollups are there still: not taken in again. */
  thinned: number;
  /** Numbers of runs that the journal holds with other settings or another end; left as they are. */
  different: number[];
  /** Runs whose number was taken, by the number they had. */
  renumbered: number[];
}

/** Takes in what a file carries. Everything happens in the transaction of the caller. */
export interface Intake {
  readonly imported: Imported;
  session(start: SessionStart): void;
  /** @throws Refused */
  clock(line: number, carried: CarriedClockStep): void;
  /** Readings are held until there is a parcel of them, or until `flush`. @throws Refused */
  reading(read: ReadReading): void;
  /** @throws Refused */
  run(line: number, carried: CarriedRun): void;
  /** @throws Refused */
  alarm(line: number, carried: CarriedAlarm): void;
  flush(): void;
}

const PARCEL_READINGS = 2000;
/** Stands for the program that wrote a session, where the file does not say. */
const UNKNOWN_VERSION = "imported";

interface OpenSession {
  readonly start: string;
  readonly bootId: string;
  readonly writer: Writer;
  number: number;
  /** Readings of this session that were in the journal before. */
  readonly doubles: Doubles | null;
}

/** @param before the folder of the journal, read as it was before the import; null for one that is new */
export function createIntake(db: Db, before: string | null): Intake {
  const imported: Imported = {
    readings: 0,
    runs: 0,
    alarms: 0,
    duplicates: 0,
    thinned: 0,
    different: [],
    renumbered: [],
  };
  const bootOf = db.prepare<[string], string>("SELECT boot_id FROM session WHERE start = ?").pluck();
  const runById = db.prepare<[string], RunRecord>("SELECT * FROM run WHERE id = ?");
  const numberTaken = db.prepare<[number], number>("SELECT 1 FROM run WHERE number = ?").pluck();
  const renumber = db.prepare("UPDATE run SET number = ? WHERE id = ?");
  const alarmById = db.prepare<[string], number>("SELECT 1 FROM alarm_transition WHERE id = ?").pluck();
  // As it was defined for a session, or, where it was defined only later, as it was last.
  const definedFor = db.prepare<[string, number], { readonly unit: string; readonly session: number }>(
    `SELECT d.unit, d.session FROM channel_definition d JOIN channel c ON c.id = d.channel WHERE c.name = ?
     ORDER BY d.session <= ? DESC, d.id DESC LIMIT 1`,
  );
  const hadAlarms = db.prepare("SELECT 1 FROM alarm_transition LIMIT 1").pluck().get() !== undefined;
  /** Of the channels of the open session. */
  const units = new Map<string, string>();
  const fitIds = new Set<string>();
  const waiting: Reading[] = [];
  let open: OpenSession | null = null;

  function enter(start: SessionStart): OpenSession {
    const known = bootOf.get(start.start);
    const writer = createWriter(db, start, () => 0);
    const doubles =
      known === undefined || before === null ? null : createDoubles(before, start.start, start.bootId);
    return {
      start: start.start,
      bootId: start.bootId,
      writer,
      number: lastParcel(db, writer.session),
      doubles,
    };
  }

  function take(start: SessionStart): OpenSession {
    if (open?.start === start.start) return open;
    flush();
    open?.doubles?.close();
    units.clear();
    open = enter(start);
    return open;
  }

  /** The session that a line names, which has been told of or is in the journal. @throws Refused */
  function sessionOf(line: number, start: string): OpenSession {
    if (open?.start === start) return open;
    const bootId = bootOf.get(start);
    if (bootId === undefined)
      throw new Refused(line, `the session ${named(start)}`, "its own line before this one");
    const at = { wall: 0, mono: 0 };
    return take({ start, bootId, at, clock: "unknown", version: "", simulated: false, configHash: "" });
  }

  /** Where the file tells no more of a session than its readings do. @throws Refused */
  function sessionOfReading(
    line: number,
    { start, bootId, simulated }: CarriedSession,
    { at }: Reading,
  ): OpenSession {
    if (open?.start === start && open.bootId === bootId) return open;
    const known = bootOf.get(start);
    if (known !== undefined && known !== bootId) {
      const expected = `${named(known)}, as its session has in the journal`;
      throw new Refused(line, `the boot ${named(bootId)}`, expected);
    }
    const facts = { clock: "unknown", version: UNKNOWN_VERSION, configHash: "" } as const;
    return take({ start, bootId, simulated, at, ...facts });
  }

  function commit(session: OpenSession, readings: readonly Reading[], action: Action | null): ActionResult {
    const gatherer = gatherColumns(Math.max(1, readings.length));
    for (const each of readings) gatherer.addReading(each);
    session.number += 1;
    const receipt = session.writer.commit({
      number: session.number,
      readings: readings.length === 0 ? null : gatherer.take(),
      action,
    });
    if (receipt.refused !== null) throw errorOf(receipt.refused);
    if (receipt.lost > 0) throw new AppError("internal", "SQLite does not take some of the readings.");
    return receipt.result;
  }

  function flush(): void {
    if (open === null || waiting.length === 0) return;
    const { fresh, thinned } = open.doubles?.without(waiting) ?? { fresh: waiting, thinned: 0 };
    imported.duplicates += waiting.length - fresh.length - thinned;
    imported.thinned += thinned;
    imported.readings += fresh.length;
    commit(open, fresh, null);
    waiting.length = 0;
  }

  /** @throws Refused */
  function checkId(line: number, id: string): void {
    if (fitIds.has(id)) return;
    const parsed = idSchema.safeParse(id);
    if (!parsed.success)
      throw new Refused(line, `the channel ${named(id)}`, parsed.error.issues[0]?.message ?? "");
    fitIds.add(id);
  }

  /**
   * A channel that the journal does not know, or knows in another unit from before this session, is defined as far as the
   * file says: a channel may have been given another unit since. @throws Refused
   */
  function define(session: OpenSession, line: number, id: string, channel: CarriedChannel): void {
    if (units.get(id) === channel.unit) return;
    const defined = definedFor.get(id, session.writer.session);
    if (defined?.unit !== channel.unit) {
      if (defined?.session === session.writer.session) {
        const expected = `${defined.unit}, in which its session keeps "${id}"`;
        throw new Refused(line, `the unit ${channel.unit}`, expected);
      }
      commit(session, [], { name: "channelsDefined", params: [definitionOf(line, id, channel)] });
    }
    units.set(id, channel.unit);
  }

  return {
    imported,
    session(start) {
      const known = bootOf.get(start.start);
      if (known === undefined) take(start);
    },
    clock(line, { session, step }) {
      commit(sessionOf(line, session), [], { name: "clockStepped", params: step });
    },
    reading({ line, session, channel, reading }) {
      const into = sessionOfReading(line, session, reading);
      checkId(line, reading.channel);
      if (channel !== null) define(into, line, reading.channel, channel);
      waiting.push(reading);
      if (waiting.length >= PARCEL_READINGS) flush();
    },
    run(line, { session, run, channels }) {
      const into = sessionOf(line, session);
      if (run.bootId !== into.bootId) {
        throw new Refused(
          line,
          `a run of the boot ${named(run.bootId)}`,
          `${named(into.bootId)}, as its session has`,
        );
      }
      const there = runById.get(run.id);
      if (there !== undefined) {
        if (sameRun(runOf(there), run)) imported.duplicates += 1;
        else imported.different.push(run.number);
        return;
      }
      const begun = commit(into, [], { name: "runBegun", params: run }) as Run;
      if (begun.number !== run.number) {
        if (numberTaken.get(run.number) === undefined) renumber.run(run.number, run.id);
        else imported.renumbered.push(run.number);
      }
      if (run.endWall !== null) commit(into, [], { name: "runEnded", params: run });
      if (channels !== null)
        commit(into, [], { name: "settingChanged", params: channelsChange(run, channels) });
      imported.runs += 1;
    },
    alarm(line, { session, transition }) {
      const into = sessionOf(line, session);
      if (alarmById.get(transition.id) !== undefined) {
        imported.duplicates += 1;
        return;
      }
      if (hadAlarms) {
        throw new Refused(
          line,
          `the alarm transition ${named(transition.id)}`,
          "a journal that has no alarms of its own: the station goes by the last one that was kept",
        );
      }
      commit(into, [], { name: "alarmTransition", params: transition });
      imported.alarms += 1;
    },
    flush() {
      flush();
      open?.doubles?.close();
      open = null;
    },
  };
}

function channelsChange(run: Run, channels: readonly ChannelDefinition[]) {
  const at = { wall: run.startWall, mono: run.startMono };
  return {
    subject: subjectOfRun(run.id),
    path: STAMP_CHANNELS_PATH,
    old: undefined,
    new: channels,
    at,
    by: null,
  };
}

/** The number may have been another one's, so it tells nothing. */
function sameRun(kept: Run, carried: Run): boolean {
  return canonical({ ...kept, number: 0 }) === canonical({ ...carried, number: 0 });
}

function canonical(value: unknown): string {
  return JSON.stringify(value, (_key, part: unknown) =>
    typeof part === "object" && part !== null && !Array.isArray(part)
      ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1)))
      : part,
  );
}

function definitionOf(line: number, id: string, { name, kind, unit }: CarriedChannel): ChannelDefinition {
  try {
    return { ...defineChannel({ id, kind, source: UNKNOWN_VERSION }), name, unit };
  } catch (error) {
    const words = error instanceof Error ? error.message : String(error);
    throw new Refused(line, `${kind} in ${unit}`, words);
  }
}
