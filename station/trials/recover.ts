import type { Clock, Instant } from "../model/instant.js";
import type { Reading } from "../model/reading.js";
import type { Run } from "../model/run.js";
import { REPLAY_LEAD_MS, replayStamp } from "./replay.js";
import type { StampRules } from "./stamp.js";

/** What the journal holds of the time around a run. */
export interface ReplayReadings {
  lastReadingsBefore(bootId: string, mono: number): Promise<readonly Reading[]>;
  readingsForReplay(window: {
    bootId: string;
    fromMono: number;
    toMono: number;
  }): Promise<readonly Reading[]>;
}

/** All that a replay of `run` up to `toMono` needs, in the order it was kept. */
export async function readingsAround(
  reader: ReplayReadings,
  run: Run,
  toMono: number,
): Promise<readonly Reading[]> {
  const fromMono = run.startMono - REPLAY_LEAD_MS;
  const before = await reader.lastReadingsBefore(run.bootId, fromMono);
  const inside = await reader.readingsForReplay({ bootId: run.bootId, fromMono, toMono });
  return [...before, ...inside];
}

/**
 * Closes a run that was open when the station broke off, from what the journal holds. Its end is the last reading kept
 * in its boot; with none, its beginning. In a new boot the power was lost, in the same one only the station failed.
 */
export async function closeInterrupted(
  run: Run,
  reader: ReplayReadings,
  rules: StampRules,
  clock: Pick<Clock, "bootId">,
  opticsHours: number | null,
): Promise<Run> {
  const readings = await readingsAround(reader, run, Number.MAX_SAFE_INTEGER);
  const last = readings.reduce<Instant | null>(
    (latest, { at }) => (at.mono > (latest?.mono ?? run.startMono) ? at : latest),
    null,
  );
  // One millisecond past it, because what arrives in the millisecond of the end is outside the window.
  const end =
    last === null
      ? { wall: run.startWall, mono: run.startMono }
      : { wall: last.wall + 1, mono: last.mono + 1 };
  const endCause = run.bootId === clock.bootId ? "station-failed" : "power-lost";
  const stamp = replayStamp(rules, run, readings, end, { clockAtEnd: "unknown", opticsHours, endCause });
  return { ...run, endWall: end.wall, endMono: end.mono, endCause, stamp };
}
