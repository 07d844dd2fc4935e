import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setImmediate as nextTurn } from "node:timers/promises";
import { openForWriting } from "../../station/journal/database.js";
import { openJournal, type SessionStart } from "../../station/journal/journal.js";
import { TUNING } from "../../station/journal/tuning.js";
import type { Reading } from "../../station/model/reading.js";
import type { BenchResult } from "./result.js";

const READINGS = 200_000;
const ROUNDS = 5;
const CHANNELS = Array.from({ length: 10 }, (_, i) => `channel-${i}`);
/** As many as ten channels bring in one second. */
const GIVEN_AT_ONCE = CHANNELS.length;
const START = Date.UTC(2026, 4, 4, 9, 0, 0);

const session: SessionStart = {
  start: "bench",
  bootId: "bench",
  at: { wall: START, mono: 0 },
  clock: "unknown",
  version: "0",
  simulated: true,
  configHash: "",
};

function made(): Reading[] {
  return Array.from({ length: READINGS }, (_, i) => {
    const ms = Math.floor(i / CHANNELS.length) * 1000 + (i % CHANNELS.length);
    const channel = CHANNELS[i % CHANNELS.length] as string;
    const at = { wall: START + ms, mono: ms };
    return i % 500 === 0
      ? { channel, at, value: null, quality: "bad", reason: "crc-failed" }
      : { channel, at, value: 18 + (i % 97) / 16, quality: "good", reason: null };
  });
}

async function inFolder<R>(work: (folder: string) => R | Promise<R>): Promise<R> {
  const folder = mkdtempSync(join(tmpdir(), "journal-bench-"));
  try {
    return await work(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Readings a second, from when they were made until all of them are committed. */
function rate(since: number): number {
  return (READINGS / (performance.now() - since)) * 1000;
}

function throughTheJournal(readings: readonly Reading[], workerUrl: URL | undefined): Promise<number> {
  return inFolder(async (folder) => {
    const journal = openJournal({ folder, session, ...(workerUrl === undefined ? {} : { workerUrl }) });
    await journal.ready;
    const since = performance.now();
    for (let i = 0; i < readings.length; i += GIVEN_AT_ONCE) {
      journal.readings(readings.slice(i, i + GIVEN_AT_ONCE));
      if (i % TUNING.parcelReadings === 0) await nextTurn();
    }
    await journal.flush();
    const result = rate(since);
    const { dropped } = journal.health();
    await journal.close();
    if (dropped > 0)
      throw new Error(`${dropped} readings were dropped: the rate would be of something else.`);
    return result;
  });
}

/** The least that any journal of these rows has to do: one prepared statement, as many rows to a transaction. */
function bareInserts(readings: readonly Reading[]): Promise<number> {
  return inFolder((folder) => {
    const db = openForWriting(folder, { busyTimeoutMs: 5000 });
    db.prepare(
      `INSERT INTO session (start, boot_id, started_wall, started_mono, clock, version, simulated, config_hash)
       VALUES ('bench', 'bench', 0, 0, 'unknown', '0', 1, '')`,
    ).run();
    const addChannel = db.prepare("INSERT INTO channel (name) VALUES (?)");
    for (const channel of CHANNELS) addChannel.run(channel);
    const rows = readings.map(({ at, value, reason }, i) => {
      const quality = reason === null ? 0 : 2;
      return [(i % CHANNELS.length) + 1, 1, at.wall, at.mono, value, quality, reason] as const;
    });
    const insert = db.prepare(
      "INSERT INTO reading (channel, session, wall, mono, value, quality, reason) VALUES (?, ?, ?, ?, ?, ?, ?)",
    );
    const commit = db.transaction((from: number) => {
      const to = Math.min(from + TUNING.parcelReadings, rows.length);
      for (let i = from; i < to; i++) {
        const [channel, of, wall, mono, value, quality, reason] = rows[i] as (typeof rows)[number];
        insert.run(channel, of, wall, mono, value, quality, reason);
      }
    });
    // As the journal's: readings alone at NORMAL, the last commit, which is answered, at FULL.
    db.pragma("synchronous = NORMAL");
    const since = performance.now();
    for (let from = 0; from < rows.length; from += TUNING.parcelReadings) {
      if (from + TUNING.parcelReadings >= rows.length) db.pragma("synchronous = FULL");
      commit(from);
    }
    const result = rate(since);
    db.close();
    return result;
  });
}

/**
 * Readings through the real journal (gathered, cloned to its thread, committed, acknowledged) beside the same rows by a
 * bare loop of inserts, turn and turn about; the median round by its ratio. The bound to hold: a ratio of 0.7 or more.
 * @param workerUrl the compiled writing thread, where this does not run from the built tree
 */
export async function benchJournal(workerUrl?: URL): Promise<BenchResult[]> {
  const readings = made();
  await bareInserts(readings);
  const rounds: { value: number; baseline: number; ratio: number }[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    const value = await throughTheJournal(readings, workerUrl);
    const baseline = await bareInserts(readings);
    rounds.push({ value, baseline, ratio: value / baseline });
  }
  rounds.sort((a, b) => a.ratio - b.ratio);
  const middle = rounds[Math.floor(ROUNDS / 2)] as (typeof rounds)[number];
  const { value, baseline } = middle;
  const bound = { atLeast: 0.7 };
  return [
    {
      name: "journal: readings kept",
      value,
      baseline,
      against: "bare prepared inserts",
      unit: "readings/s",
      bound,
    },
  ];
}
