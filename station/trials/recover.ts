import { setImmediate as nextTurn } from "node:timers/promises";
import type { Reading } from "../model/reading.js";
import type { Run, RunEnd, Stamp } from "../model/run.js";
import { LATEST_NEWS_MS } from "./recent-past.js";
import { createReplay, REPLAY_LEAD_MS } from "./replay.js";
import type { StampRules } from "./stamp.js";
import { asByMethod } from "./stamp-method.js";

/** Readings worked through before others get their turn: a few milliseconds on a Pi. */
const TURN_READINGS = 250;

/** What the journal holds of the time around a run, in the order it was kept. */
export interface ReplayReadings {
  lastReadingsBefore(bootId: string, mono: number): Promise<readonly Reading[]>;
  readingsForReplay(window: {
    bootId: string;
    fromMono: number;
    toMono: number;
  }): AsyncIterable<readonly Reading[]>;
}

/** What the closing of an interrupted run goes by. */
export interface Interruption {
  /** Why it broke off. */
  readonly endCause: Extract<RunEnd, "power-lost" | "station-failed">;
  /** Monotonic milliseconds of the start that closes it, in the same boot; what is later belongs to that start. */
  readonly beforeMono: number;
  readonly opticsHours: number | null;
}

/**
 * Closes a run that was open when the station broke off, from what the journal holds. Its end is the last reading that was
 * kept; with none, its beginning.
 */
export async function closeInterrupted(
  run: Run,
  reader: ReplayReadings,
  rules: StampRules,
  { endCause, beforeMono, opticsHours }: Interruption,
): Promise<Run> {
  const replay = createReplay(rules, run);
  await eachAround(reader, run, beforeMono - 1, replay.take);
  const newest = replay.newest();
  // One millisecond past it, because what arrives in the millisecond of the end is outside the window.
  const end =
    newest === null
      ? { wall: run.startWall, mono: run.startMono }
      : { wall: newest.wall + 1, mono: newest.mono + 1 };
  const stamp = replay.close(end, { clockAtEnd: "unknown", opticsHours, endCause });
  return { ...run, endWall: end.wall, endMono: end.mono, endCause, stamp };
}

/** Works the stamp of an ended run out again from the journal, by the method of its time; null for a run that has none. */
export async function restamp(run: Run, reader: ReplayReadings, rules: StampRules): Promise<Stamp | null> {
  if (run.stamp === null || run.endCause === null) return null;
  const { endWall: wall, endMono: mono, clockAtEnd, opticsHours } = run.stamp;
  const replay = createReplay(rules, run);
  // What came in just after the end counts too: late news from before it was read in the light of that.
  await eachAround(reader, run, mono + LATEST_NEWS_MS, replay.take);
  const stamp = replay.close({ wall, mono }, { clockAtEnd, opticsHours, endCause: run.endCause });
  const { method, readingsHeld } = run.stamp;
  return { ...asByMethod(stamp, method), ...(readingsHeld === true ? { readingsHeld } : {}) };
}

async function eachAround(
  reader: ReplayReadings,
  run: Run,
  toMono: number,
  take: (reading: Reading) => void,
): Promise<void> {
  const fromMono = run.startMono - REPLAY_LEAD_MS;
  for (const reading of await reader.lastReadingsBefore(run.bootId, fromMono)) take(reading);
  let count = 0;
  for await (const block of reader.readingsForReplay({ bootId: run.bootId, fromMono, toMono })) {
    for (const reading of block) {
      take(reading);
      count += 1;
      // The live line runs on this thread too.
      if (count % TURN_READINGS === 0) await nextTurn();
    }
  }
}
