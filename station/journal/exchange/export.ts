import { AppError } from "../../errors.js";
import type { ChannelDefinition } from "../../model/channel.js";
import type { Reading } from "../../model/reading.js";
import type { Run } from "../../model/run.js";
import { eachRow } from "../pages.js";
import type { KeptClockStep, KeptSession } from "../protocol.js";
import type { JournalReader } from "../reader.js";
import type { CarriedReading, CarriedSession } from "./carried.js";
import { csvRow } from "./csv.js";
import { ALARM_COLUMNS, alarmRow, RUN_COLUMNS, runRow } from "./log-csv.js";
import { READING_COLUMNS, readingRow } from "./reading-csv.js";
import { PACK_READINGS, senmlLine } from "./reading-senml.js";
import { recordLine, recordsHead } from "./record-lines.js";

/** The part of the journal's reading side that is needed here. */
export type ExportReader = Pick<
  JournalReader,
  "sessions" | "clockSteps" | "definitions" | "readingsForReplay" | "runsAfter" | "transitionsAfter"
>;

/** What of it readings need. */
export type ReadingsReader = Pick<ExportReader, "sessions" | "definitions" | "readingsForReplay">;

export type ReadingsFormat = "csv" | "senml";

/** Wall milliseconds, `from` included, `to` not; null for no bound. */
export interface Span {
  readonly from: number | null;
  readonly to: number | null;
}

/** Of some 60 kB: larger ones outlive what is young, in each of the threads they pass, and pile up to tens of megabytes. */
const PIECE_READINGS = 3 * PACK_READINGS;

const ALL: Span = { from: null, to: null };

export interface ReadingsQuery extends Span {
  /** Null for all. */
  readonly channels: readonly string[] | null;
}

/** Counted while an export runs. */
export interface Tally {
  rows: number;
}

/** The channels that the stamp of a run was made with, from what the journal keeps; null where it does not know. */
export type ChannelsOfRun = (run: Run, session: number) => readonly ChannelDefinition[] | null;

/**
 * Every reading in the order it was written, start of the station after start, some hundreds to a piece of text: no more than
 * a block is held, and nothing is fetched before its pieces have been taken.
 * @throws AppError "channel-unknown"
 */
export async function* exportReadings(
  reader: ReadingsReader,
  query: ReadingsQuery,
  format: ReadingsFormat,
  tally: Tally,
): AsyncGenerator<string, void> {
  const definitions = await reader.definitions();
  const known = new Set(definitions.map(({ definition }) => definition.id));
  for (const id of query.channels ?? []) {
    if (!known.has(id)) throw new AppError("channel-unknown", `The journal has no channel "${id}".`);
  }
  if (format === "csv") yield csvRow(READING_COLUMNS);
  const inForce = new Map<string, ChannelDefinition>();
  let next = 0;
  for (const session of await reader.sessions()) {
    for (let each = definitions[next]; each !== undefined && each.session <= session.session; ) {
      inForce.set(each.definition.id, each.definition);
      next += 1;
      each = definitions[next];
    }
    const carried: CarriedSession = {
      start: session.start,
      bootId: session.bootId,
      simulated: session.simulated,
    };
    const carry = (reading: Reading): CarriedReading => {
      return { session: carried, channel: inForce.get(reading.channel) ?? null, reading };
    };
    for await (const block of reader.readingsForReplay(windowOf(session, query))) {
      const asked = block.filter(({ at }) => within(query, at.wall)).map(carry);
      tally.rows += asked.length;
      for (let at = 0; at < asked.length; at += PIECE_READINGS) {
        const piece = asked.slice(at, at + PIECE_READINGS);
        yield format === "csv" ? piece.map(readingRow).join("") : packs(piece);
      }
    }
  }
}

function windowOf(session: KeptSession, { from, to, channels }: ReadingsQuery) {
  return {
    bootId: session.bootId,
    session: session.session,
    fromMono: 0,
    toMono: Number.MAX_SAFE_INTEGER,
    ...(channels === null ? {} : { channels }),
    ...(from === null ? {} : { fromWall: from }),
    ...(to === null ? {} : { toWall: to }),
  };
}

function packs(readings: readonly CarriedReading[]): string {
  let text = "";
  for (let at = 0; at < readings.length; at += PACK_READINGS) {
    text += senmlLine(readings.slice(at, at + PACK_READINGS));
  }
  return text;
}

/** All runs as a table for people. */
export function runTable(reader: ExportReader): AsyncGenerator<string, void> {
  return exportRuns(reader, ALL, "csv", { rows: 0 }, () => null);
}

/** All that alarms did as a table for people. */
export function alarmTable(reader: ExportReader): AsyncGenerator<string, void> {
  return exportAlarms(reader, ALL, "csv", { rows: 0 });
}

/** @param channelsOf only asked for lines of JSON */
export async function* exportRuns(
  reader: ExportReader,
  span: Span,
  format: "csv" | "jsonl",
  tally: Tally,
  channelsOf: ChannelsOfRun,
): AsyncGenerator<string, void> {
  yield format === "csv" ? csvRow(RUN_COLUMNS) : recordsHead();
  const tellSession = sessionTeller(await reader.sessions(), await reader.clockSteps());
  for await (const { session, run, placed } of eachRow(reader.runsAfter, (row) => row.run.number)) {
    if (!within(span, placed?.startWall ?? run.startWall)) continue;
    tally.rows += 1;
    if (format === "csv") {
      yield runRow({ ...run, placed });
      continue;
    }
    const { start, lines } = tellSession(session);
    yield lines + recordLine({ type: "run", session: start, run, channels: channelsOf(run, session) });
  }
}

export async function* exportAlarms(
  reader: ExportReader,
  span: Span,
  format: "csv" | "jsonl",
  tally: Tally,
): AsyncGenerator<string, void> {
  yield format === "csv" ? csvRow(ALARM_COLUMNS) : recordsHead();
  const tellSession = sessionTeller(await reader.sessions(), await reader.clockSteps());
  for await (const kept of eachRow(reader.transitionsAfter, (row) => row.seq)) {
    if (!within(span, kept.wall)) continue;
    tally.rows += 1;
    if (format === "csv") {
      yield alarmRow(kept);
      continue;
    }
    const { seq: _seq, session, ...transition } = kept;
    const { start, lines } = tellSession(session);
    yield lines + recordLine({ type: "alarm", session: start, transition });
  }
}

function within({ from, to }: Span, wall: number): boolean {
  return wall >= (from ?? Number.NEGATIVE_INFINITY) && wall < (to ?? Number.POSITIVE_INFINITY);
}

/**
 * Gives the lines of a session before the first thing that belongs to it: with what is known of its clock, and of that in
 * later starts of its boot, by which it is placed.
 */
function sessionTeller(sessions: readonly KeptSession[], steps: readonly KeptClockStep[]) {
  const known = new Map(sessions.map((each) => [each.session, each]));
  const told = new Set<number>();

  function linesOf({ session: number, ...session }: KeptSession): string {
    if (told.has(number)) return "";
    told.add(number);
    const clock = steps
      .filter((each) => each.session === number)
      .map(({ step }) => recordLine({ type: "clock", session: session.start, step }));
    return recordLine({ type: "session", session }) + clock.join("");
  }

  return (number: number): { readonly start: string; readonly lines: string } => {
    const kept = known.get(number);
    // Foreign keys are on: a row always has its session, unless it was begun since the sessions were asked for.
    if (kept === undefined) {
      throw new AppError("journal-unusable", "The station was started during the export: begin it again.");
    }
    const later = sessions.filter(
      ({ session, bootId, clock }) =>
        session > number &&
        bootId === kept.bootId &&
        (clock !== kept.clock || steps.some((each) => each.session === session)),
    );
    return { start: kept.start, lines: [kept, ...later].map(linesOf).join("") };
  };
}
