import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Columns, gatherColumns, readingsOf } from "../../../station/journal/columns.js";
import { type Db, openForWriting } from "../../../station/journal/database.js";
import type { Action, Parcel, SessionStart } from "../../../station/journal/protocol.js";
import type { ReplayBlock, ReplayRequest } from "../../../station/journal/reader-calls.js";
import type { Reads } from "../../../station/journal/reads.js";
import { createSealer } from "../../../station/journal/sealing.js";
import { checkReadings } from "../../../station/journal/soundness/check.js";
import { createWriter, type Writer } from "../../../station/journal/writer.js";
import type { AlarmTransition } from "../../../station/model/alarm.js";
import type { ChannelDefinition } from "../../../station/model/channel.js";
import type { Reading } from "../../../station/model/reading.js";
import type { Run, Stamp } from "../../../station/model/run.js";

export const WALL = Date.UTC(2026, 4, 4, 9, 0, 0);

export function sessionStart(changes: Partial<SessionStart> = {}): SessionStart {
  return {
    start: "start-1",
    bootId: "boot-1",
    at: { wall: WALL, mono: 1000 },
    clock: "synchronised",
    version: "0.1.0",
    simulated: false,
    configHash: "c0ffee",
    ...changes,
  };
}

/** A good reading `ms` after the start of things. */
export function reading(channel: string, ms: number, value: number | null = 20): Reading {
  const at = { wall: WALL + ms, mono: 1000 + ms };
  if (value === null) return { channel, at, value, quality: "bad", reason: "crc-failed" };
  return { channel, at, value, quality: "good", reason: null };
}

export function columnsOf(readings: readonly Reading[]): Columns {
  const gatherer = gatherColumns(Math.max(1, readings.length));
  for (const one of readings) gatherer.addReading(one);
  return gatherer.take();
}

export function channel(id: string, changes: Partial<ChannelDefinition> = {}): ChannelDefinition {
  return {
    id,
    name: "Coolant in",
    kind: "coolant-inlet",
    unit: "Cel",
    source: "probe",
    point: null,
    calibration: null,
    valid: [-10, 60],
    resolution: 0.0625,
    expectedEveryS: 1,
    staleAfterS: 10,
    runningAt: null,
    ...changes,
  };
}

export function openRun(id: string, changes: Partial<Run> = {}): Run {
  return {
    id,
    number: 0,
    cause: "screen",
    startWall: WALL,
    startMono: 1000,
    bootId: "boot-1",
    clockAtStart: "synchronised",
    settings: { material: "birch plywood 3 mm", power_pct: 55, speed_mm_s: 12.5 },
    simulated: false,
    endWall: null,
    endMono: null,
    endCause: null,
    stamp: null,
    ...changes,
  };
}

export function stamp(changes: Partial<Stamp> = {}): Stamp {
  const statistics = {
    unit: "Cel" as const,
    known: true,
    min: 18.25,
    mean: 18.5,
    max: 18.75,
    first: 18.25,
    last: 18.75,
    goodShare: 1,
    uncertainShare: 0,
    readings: 60,
  };
  return {
    method: 1,
    startWall: WALL,
    startMono: 1000,
    endWall: WALL + 60_000,
    endMono: 61_000,
    bootId: "boot-1",
    clockAtStart: "synchronised",
    clockAtEnd: "synchronised",
    coolantRange: { low: 15, high: 22 },
    minGoodShare: 0.8,
    opticsHours: null,
    channels: { coolant: { ...statistics, name: "Coolant in", kind: "coolant-inlet" } },
    conditions: {},
    flags: [],
    simulated: false,
    ...changes,
  };
}

export function ended(run: Run, changes: Partial<Stamp> = {}): Run {
  return { ...run, endWall: WALL + 60_000, endMono: 61_000, endCause: "screen", stamp: stamp(changes) };
}

export function transition(id: string, changes: Partial<AlarmTransition> = {}): AlarmTransition {
  return {
    id,
    alarm: "coolant-high",
    kind: "coolant-high",
    title: "Coolant too warm",
    priority: "high",
    transition: "raised",
    from: "normal",
    to: "unacknowledged",
    wall: WALL,
    mono: 1000,
    detail: "Coolant 23.1 °C, setpoint 22 °C",
    run: null,
    by: null,
    ...changes,
  };
}

/** Every block of a replay, one after another. */
export function blocksOf(reads: Reads, window: ReplayRequest): Reading[][] {
  const blocks: Reading[][] = [];
  for (let after: number | null = 0; after !== null; ) {
    const block = reads.replayBlock({ ...window, after }) as ReplayBlock;
    blocks.push(readingsOf(block.readings));
    after = block.next;
  }
  return blocks;
}

/** Seals what can be sealed, in as many steps as it takes, or as are given. Returns how many were taken. */
export function seal(db: Db, most = Number.POSITIVE_INFINITY): number {
  const sealer = createSealer(db);
  let steps = 0;
  while (steps < most && sealer.step()) steps++;
  return steps;
}

/** Looks at every block and every rollup, or mends them; what was found, in words. */
export function foundIn(db: Db, mend = false): string[] {
  return [...checkReadings(db, mend)].flatMap(({ found }) => found.map(({ words }) => words));
}

/** A folder of its own for one test; `remove` takes it away. */
export function emptyFolder(): { readonly folder: string; remove(): void } {
  const folder = mkdtempSync(join(tmpdir(), "journal-"));
  return { folder, remove: () => rmSync(folder, { recursive: true, force: true }) };
}

export interface Bench {
  readonly folder: string;
  readonly db: Db;
  readonly writer: Writer;
  /** Commits the next parcel. */
  put(readings: readonly Reading[], action?: Action): ReturnType<Writer["commit"]>;
  remove(): void;
}

/** What it throws; undefined where it throws nothing. */
export function thrownBy(act: () => unknown): unknown {
  try {
    act();
  } catch (error) {
    return error;
  }
  return undefined;
}

/** A writer in this thread, over a journal in a folder of its own, or in one that is told. */
export function writerBench(
  start: SessionStart = sessionStart(),
  now: () => number = () => 0,
  told: string | null = null,
): Bench {
  const { folder, remove } = told === null ? emptyFolder() : { folder: told, remove: () => {} };
  const db = openForWriting(folder, { busyTimeoutMs: 50 });
  const writer = createWriter(db, start, now);
  let number = 0;
  return {
    folder,
    db,
    writer,
    put(readings, action) {
      number++;
      const parcel: Parcel = {
        number,
        readings: readings.length === 0 ? null : columnsOf(readings),
        action: action ?? null,
      };
      return writer.commit(parcel);
    },
    remove() {
      db.close();
      remove();
    },
  };
}
