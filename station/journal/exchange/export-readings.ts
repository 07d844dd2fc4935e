import { AppError } from "../../errors.js";
import type { ChannelDefinition } from "../../model/channel.js";
import type { Reading } from "../../model/reading.js";
import type { JournalReader } from "../reader.js";
import type { KeptSession } from "../reader-calls.js";
import type { CarriedReading, CarriedSession } from "./carried.js";
import { csvRow } from "./csv.js";
import { READING_COLUMNS, readingRow } from "./reading-csv.js";
import { PACK_READINGS, senmlLine } from "./reading-senml.js";

/** The part of the journal's reading side that is needed here. */
export type ReadingsReader = Pick<JournalReader, "sessions" | "definitions" | "readingsForReplay">;

export type ReadingsFormat = "csv" | "senml";

/** Wall milliseconds, `from` included, `to` not; null for no bound. */
export interface Span {
  readonly from: number | null;
  readonly to: number | null;
}

export interface ReadingsQuery extends Span {
  /** Null for all. */
  readonly channels: readonly string[] | null;
}

/** Counted while an export runs. */
export interface Tally {
  rows: number;
}

/** Of some 60 kB: larger ones outlive what is young, in each of the threads they pass, and pile up to tens of megabytes. */
const PIECE_READINGS = 3 * PACK_READINGS;

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

export function within({ from, to }: Span, wall: number): boolean {
  return wall >= (from ?? Number.NEGATIVE_INFINITY) && wall < (to ?? Number.POSITIVE_INFINITY);
}
