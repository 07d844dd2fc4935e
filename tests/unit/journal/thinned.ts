import { type Columns, readingsOf } from "../../../station/journal/columns.js";
import type { Db } from "../../../station/journal/database.js";
import type { Reads } from "../../../station/journal/reads.js";
import { createThinner, type Thinner } from "../../../station/journal/thinning/thinner.js";
import { createWriter } from "../../../station/journal/writer.js";
import type { Reading } from "../../../station/model/reading.js";
import { STAMP_REACH } from "../../../station/retention.js";
import type { ReplayReadings } from "../../../station/trials/recover.js";
import { type Bench, blocksOf, channel, columnsOf, reading, seal, sessionStart } from "./samples.js";

export const HOUR = 3_600_000;
export const CHANNELS = [
  channel("coolant"),
  channel("room", { kind: "room-temperature" }),
  channel("laser", { kind: "laser-on", unit: "state", valid: [0, 1], resolution: 1 }),
];
export const RULES = { definitions: CHANNELS, coolantRange: { low: 17, high: 21 }, minGoodShare: 0.8 };

export function thinnerOf(db: Db, beforeWall: number): Thinner {
  const thinner = createThinner(db);
  thinner.order({ beforeWall, reach: STAMP_REACH });
  return thinner;
}

/** As many steps as it takes, or as are given; returns how many were taken. */
export function thin(db: Db, beforeWall: number, most = Number.POSITIVE_INFINITY): number {
  const thinner = thinnerOf(db, beforeWall);
  let steps = 0;
  while (steps < most && thinner.step()) steps++;
  return steps;
}

export function replayOf(reads: Reads): ReplayReadings {
  return {
    lastReadingsBefore: async (bootId, mono) =>
      readingsOf(reads.lastReadingsBefore({ bootId, mono, withinMs: STAMP_REACH.lookBackMs }) as Columns),
    async *readingsForReplay(window) {
      yield* blocksOf(reads, window);
    },
  };
}

export function kept(reads: Reads, bootId = "boot-1"): Reading[] {
  return blocksOf(reads, { bootId, fromMono: 0, toMono: Number.MAX_SAFE_INTEGER }).flat();
}

export function removed(db: Db): number {
  return db.prepare("SELECT coalesce(sum(removed), 0) FROM thinned").pluck().get() as number;
}

/**
 * Two more starts of the station, a moment after `ms`: so that what was written before can be sealed, and is known to be as
 * old as it is dated by what was written after it.
 */
export function closing(bench: Bench, ms: number): void {
  for (const start of ["first", "second"]) {
    const ids = { start: `${start} after ${ms}`, bootId: `after ${ms}` };
    const last = createWriter(bench.db, sessionStart(ids), () => 0);
    last.commit({ number: 1, readings: columnsOf([reading("coolant", ms)]), action: null });
  }
  seal(bench.db);
}
