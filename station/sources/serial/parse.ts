import type { Instant } from "../../model/instant.js";
import type { Unit } from "../../model/quantity.js";
import { REASONS, type Reason } from "../../model/reading.js";
import type { RestartCause } from "../../model/source.js";
import { LineSplitter, openFrame } from "./frame.js";
import { MAX_GAP, RestartWatch, stepOf } from "./restarts.js";
import { ABSOLUTE_TIME_FROM, type ResolvedRecord, resolvePack } from "./senml.js";
import { convertUnit } from "./units.js";

/** Why bytes or records were dropped. `lost` are frames that the numbering misses, damaged ones among them. */
export const DROPS = [
  "torn",
  "overlong",
  "wrong-crc",
  "unparsable",
  "not-senml",
  "unknown-unit",
  "too-old",
  "too-many-points",
  "lost",
] as const;
export type Drop = (typeof DROPS)[number];

export type BoardReading =
  | {
      readonly point: string;
      readonly at: Instant;
      readonly value: number;
      readonly unit: Unit;
      readonly doubt?: Reason;
    }
  | { readonly point: string; readonly at: Instant; readonly fault: Reason };

export interface Decoded {
  readonly readings: readonly BoardReading[];
  /** Whole frames with a right CRC that were a SenML Pack. */
  readonly frames: number;
  readonly dropped: Readonly<Partial<Record<Drop, number>>>;
  /** Starts of the board that were not known before, by their cause. */
  readonly restarts: readonly RestartCause[];
}

/** Points of one board: so many that no real one reaches it, and so few that a board gone wild cannot fill the memory. */
export const MAX_POINTS = 64;
/** Longest name that a channel can be given. */
const MAX_POINT_LENGTH = 80;
/** Seconds; what the board held back longer than this is history and not a reading. */
const MAX_AGE_S = 600;

const FAULT_PREFIX = "fault:";
const DOUBTFUL = "doubtful";
/** Turns the bytes of a board into readings. It never throws, and holds one unfinished line and the names of its points. */
export class BoardDecoder {
  readonly #splitter = new LineSplitter();
  readonly #points = new Set<string>();
  readonly #restarts = new RestartWatch();
  #sequence: number | null = null;

  /** Every point that the board has sent since start, in the order of their first coming. */
  get points(): readonly string[] {
    return [...this.#points];
  }

  /** After a port was opened anew: the half line and the count of frames belong to the old one. */
  reset(): void {
    this.#splitter.reset();
    this.#sequence = null;
  }

  /** @param now when the bytes arrived; a record without a time is of this moment */
  push(bytes: Uint8Array, now: Instant): Decoded {
    const readings: BoardReading[] = [];
    const dropped: Partial<Record<Drop, number>> = {};
    const drop = (why: Drop, count = 1) => {
      if (count > 0) dropped[why] = (dropped[why] ?? 0) + count;
    };
    const restarts: RestartCause[] = [];
    let frames = 0;
    for (const line of this.#splitter.push(bytes)) {
      if (line === null) {
        drop("overlong");
        continue;
      }
      if (line.every((byte) => byte === 0x0d)) continue;
      const frame = openFrame(line);
      if (!frame.ok) {
        drop(frame.why);
        continue;
      }
      const json = parseJson(frame.text);
      if (json === undefined) {
        drop("unparsable");
        continue;
      }
      const pack = resolvePack(json);
      if (!pack.ok) {
        drop("not-senml");
        continue;
      }
      frames += 1;
      readings.push(...this.#read(pack.records, now, drop));
      const restart = this.#restarts.look(resetWord(pack.records), sequenceOf(pack.records));
      if (restart !== null) restarts.push(restart);
    }
    return { readings, frames, dropped, restarts };
  }

  #read(
    records: readonly ResolvedRecord[],
    now: Instant,
    drop: (why: Drop, count?: number) => void,
  ): BoardReading[] {
    const doubted = new Set<string>();
    for (const { name, value } of records)
      if (value.kind === "string" && value.value === DOUBTFUL) doubted.add(name);
    const readings: BoardReading[] = [];
    for (const record of records) {
      if (isSequence(record)) {
        drop("lost", this.#lostBefore(record.value));
        continue;
      }
      const at = momentOf(record.time, now);
      const reading = at === null ? null : readingOf(record, at, doubted.has(record.name));
      if (at === null) drop("too-old");
      if (reading === null) continue;
      if (!this.#admit(reading.point)) {
        drop("too-many-points");
        continue;
      }
      if ("fault" in reading && reading.fault === "wrong-unit") drop("unknown-unit");
      readings.push(reading);
    }
    return readings;
  }

  #admit(point: string): boolean {
    if (this.#points.has(point)) return true;
    if (this.#points.size >= MAX_POINTS || point.length > MAX_POINT_LENGTH) return false;
    this.#points.add(point);
    return true;
  }

  /** Frames between the last numbered one and this; the number is of 16 bits and goes back to 0 after 65535. */
  #lostBefore(value: ResolvedRecord["value"]): number {
    if (value.kind !== "number" || !Number.isInteger(value.value)) return 0;
    const before = this.#sequence;
    this.#sequence = value.value & 0xffff;
    if (before === null) return 0;
    const step = stepOf(before, this.#sequence);
    return step >= 2 && step <= MAX_GAP ? step - 1 : 0;
  }
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text) as unknown;
  } catch {
    return undefined;
  }
}

function isSequence({ name }: ResolvedRecord): boolean {
  return /(?:^|[:./])seq$/.test(name);
}

function sequenceOf(records: readonly ResolvedRecord[]): number | null {
  const value = records.find(isSequence)?.value;
  return value?.kind === "number" && Number.isInteger(value.value) ? value.value & 0xffff : null;
}

/** The cause of the last start, where the line carries it. */
function resetWord(records: readonly ResolvedRecord[]): string | null {
  const value = records.find(({ name }) => /(?:^|[:./])reset$/.test(name))?.value;
  return value?.kind === "string" ? value.value : null;
}

/**
 * When a record was measured. The board's idea of now is the moment of receipt; it may say how many seconds ago it
 * measured. A time in the future or one since 1970 is not believed, because a board has no clock that anybody set.
 */
function momentOf(time: number, now: Instant): Instant | null {
  if (time >= 0 || time >= ABSOLUTE_TIME_FROM) return now;
  if (time < -MAX_AGE_S) return null;
  return { wall: now.wall + time * 1000, mono: now.mono + time * 1000 };
}

function readingOf(
  { name: point, unit, value }: ResolvedRecord,
  at: Instant,
  doubted: boolean,
): BoardReading | null {
  if (value.kind === "string") {
    return value.value.startsWith(FAULT_PREFIX) ? { point, at, fault: faultOf(value.value) } : null;
  }
  // Boolean values carry no unit; data and sums mean nothing to the station.
  if (value.kind === "data" || value.kind === "none") return null;
  const converted =
    value.kind === "boolean"
      ? { value: value.value ? 1 : 0, unit: "state" as const }
      : convertUnit(value.value, unit);
  if (converted === null) return { point, at, fault: "wrong-unit" };
  const reading = { point, at, ...converted };
  return doubted ? { ...reading, doubt: "sender-marked" } : reading;
}

/** A board may name any reason that is bad; any other word is a failed reading all the same. */
function faultOf(text: string): Reason {
  const word = text.slice(FAULT_PREFIX.length);
  if (!Object.hasOwn(REASONS, word)) return "read-error";
  const reason = word as Reason;
  return REASONS[reason].quality === "bad" ? reason : "read-error";
}
