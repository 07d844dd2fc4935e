import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gatherColumns } from "../../station/journal/columns.js";
import { type Db, openForWriting } from "../../station/journal/database.js";
import { createSealer } from "../../station/journal/sealing.js";
import { createWriter } from "../../station/journal/writer.js";
import type { ChannelDefinition } from "../../station/model/channel.js";

export const BEGIN = Date.UTC(2025, 0, 1);
const PARCEL = 3000;

/** Three sensors of a workshop: what they tell apart, their noise, and how their value goes through the day and the hour. */
export const SENSORS = [
  {
    id: "coolant",
    kind: "coolant-inlet",
    unit: "Cel",
    resolution: 1 / 16,
    noise: 0.02,
    middle: 18,
    swing: 1.5,
  },
  { id: "room", kind: "room-temperature", unit: "Cel", resolution: 0.1, noise: 0.04, middle: 20, swing: 3 },
  { id: "humidity", kind: "room-humidity", unit: "%RH", resolution: 0.1, noise: 0.06, middle: 48, swing: 8 },
] as const;

export interface Span {
  readonly db: Db;
  readonly readings: number;
  /** Milliseconds each, for sealing 3600 readings of a group. */
  readonly sealed: readonly number[];
  /** The longest of all single steps, milliseconds. */
  readonly longestStep: number;
  remove(): void;
}

export interface SpanOptions {
  readonly days: number;
  readonly everyMs: number;
  /** Standard deviation of the times about their schedule, milliseconds. */
  readonly jitterMs: number;
}

/** A seeded generator of numbers from 0 to 1 (mulberry32; from memory). */
export function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** A journal of the three sensors over so many days, everything that can be sealed sealed, in a folder of its own. */
export function seededSpan({ days, everyMs, jitterMs }: SpanOptions): Span {
  const folder = mkdtempSync(join(tmpdir(), "journal-sealed-"));
  const db = openForWriting(folder, { busyTimeoutMs: 5000 });
  const start = {
    start: "bench",
    bootId: "bench",
    at: { wall: BEGIN, mono: 0 },
    clock: "synchronised",
  } as const;
  const writer = createWriter(db, { ...start, version: "0", simulated: true, configHash: "" }, () => 0);
  writer.commit({
    number: 1,
    readings: null,
    action: { name: "channelsDefined", params: SENSORS.map((sensor) => definitionOf(sensor)) },
  });
  const random = seeded(1);
  const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  const sealed: number[] = [];
  const sealing = sealAll(db, sealed);
  const gatherer = gatherColumns(PARCEL);
  const rounds = Math.floor((days * 86_400_000) / everyMs);
  let parcels = 1;
  for (let round = 0; round < rounds; round++) {
    for (const { id, resolution, noise, middle, swing } of SENSORS) {
      const ms = round * everyMs + (jitterMs === 0 ? 0 : Math.round(jitterMs * normal()));
      const trend =
        Math.sin((2 * Math.PI * ms) / 86_400_000) + 0.2 * Math.sin((2 * Math.PI * ms) / 1_500_000);
      const value = middle + swing * trend + noise * normal();
      gatherer.add(id, BEGIN + ms, ms, onGrid(value, resolution), 0, null);
    }
    if (gatherer.count < PARCEL && round < rounds - 1) continue;
    parcels++;
    writer.commit({ number: parcels, readings: gatherer.take(), action: null });
    sealing.some();
  }
  return {
    db,
    readings: rounds * SENSORS.length,
    sealed,
    longestStep: sealing.longest(),
    remove() {
      db.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

function onGrid(value: number, resolution: number): number {
  const parts = Math.round(1 / resolution);
  return Math.round(value * parts) / parts;
}

function sealAll(db: Db, took: number[]) {
  const sealer = createSealer(db);
  const groups = db.prepare<[], number>("SELECT count(*) FROM sealed").pluck();
  const newest = db
    .prepare<[], number>(
      "SELECT sum(readings) FROM block WHERE sealed = (SELECT sealed FROM block ORDER BY id DESC LIMIT 1)",
    )
    .pluck();
  let longest = 0;
  let group = 0;
  let done = 0;
  return {
    some() {
      for (;;) {
        const since = performance.now();
        const more = sealer.step();
        const ms = performance.now() - since;
        if (!more) return;
        longest = Math.max(longest, ms);
        group += ms;
        const now = groups.get() ?? 0;
        if (now === done) continue;
        took.push(group / ((newest.get() ?? 0) / 3600));
        done = now;
        group = 0;
      }
    },
    longest: () => longest,
  };
}

function definitionOf({ id, kind, unit, resolution }: (typeof SENSORS)[number]): ChannelDefinition {
  return {
    id,
    name: id,
    kind,
    unit,
    resolution,
    source: "bench",
    point: null,
    calibration: null,
    valid: [-100, 100],
    expectedEveryS: 1,
    staleAfterS: 10,
    runningAt: null,
  };
}
