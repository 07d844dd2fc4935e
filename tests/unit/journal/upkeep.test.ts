import { afterEach, beforeEach, expect, it } from "vitest";
import { createUpkeepReads } from "../../../station/journal/trials/upkeep.js";
import type { Run } from "../../../station/model/run.js";
import { type Bench, ended, openRun, stamp, WALL, writerBench } from "./samples.js";

let bench: Bench;
beforeEach(() => {
  bench = writerBench();
});
afterEach(() => bench.remove());

const HOUR = 3_600_000;

/** A run of two hours, beginning so many hours after the start of things. @param share of it with the beam on; null without an input */
function cut(id: string, hour: number, share: number | null): void {
  const laser = {
    ...(stamp().channels.coolant as object),
    ...{ name: "Beam", kind: "laser-on", unit: "state", mean: share },
  };
  const channels = share === null ? {} : { beam: laser };
  const run = openRun(id, { startWall: WALL + hour * HOUR, startMono: 1000 + hour * HOUR });
  bench.put([], { name: "runBegun", params: run });
  const done = ended(run, { channels: channels as never });
  const end = { endWall: WALL + (hour + 2) * HOUR, endMono: 1000 + (hour + 2) * HOUR };
  bench.put([], { name: "runEnded", params: { ...done, ...end } as Run });
}

function maintained(kind: string, hour: number, note: string): void {
  const at = { wall: WALL + hour * HOUR, mono: 1000 + hour * HOUR };
  bench.put([], { name: "maintenance", params: { kind, at, note } });
}

it("counts the hours of beam since each kind of maintenance, by the laser-on input where there is one", () => {
  const reads = createUpkeepReads(bench.db);
  cut("r1", 0, 0.25);
  maintained("lens-swapped", 3, "50 mm");
  cut("r2", 4, 0.5);
  maintained("filter-changed", 7, "");
  cut("r3", 8, null);
  maintained("lens-swapped", 11, "63 mm");
  expect(reads.upkeep({ beforeWall: WALL + 10.5 * HOUR })).toEqual([
    { kind: "lens-swapped", wall: WALL + 3 * HOUR, note: "50 mm", laserHours: 3 },
    { kind: "filter-changed", wall: WALL + 7 * HOUR, note: "", laserHours: 2 },
  ]);
  expect(reads.upkeep({ run: "r3" })).toEqual([
    { kind: "lens-swapped", wall: WALL + 3 * HOUR, note: "50 mm", laserHours: 1 },
    { kind: "filter-changed", wall: WALL + 7 * HOUR, note: "", laserHours: 0 },
  ]);
  expect(reads.upkeep({ run: "r1" })).toEqual([]);
  expect(reads.maintenanceLog(null)).toMatchObject([{ note: "63 mm" }, { note: "" }, { note: "50 mm" }]);
});

it("answers of the kinds that are asked for, and of no others", () => {
  const reads = createUpkeepReads(bench.db);
  maintained("lens-swapped", 3, "50 mm");
  maintained("optics-cleaned", 4, "");
  const beforeWall = WALL + 10 * HOUR;
  expect(reads.upkeep({ beforeWall, kinds: ["optics-cleaned"] })).toMatchObject([{ kind: "optics-cleaned" }]);
  expect(reads.upkeep({ beforeWall, kinds: [] })).toEqual([]);
});
