import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Action } from "../../../station/journal/protocol.js";
import { createReads, type Reads } from "../../../station/journal/reads.js";
import type { Run } from "../../../station/model/run.js";
import {
  type Bench,
  channel,
  ended,
  openRun,
  sessionStart,
  transition,
  WALL,
  writerBench,
} from "./samples.js";

let bench: Bench;
let reads: Reads;
beforeEach(() => {
  bench = writerBench();
  reads = createReads(bench.db);
});
afterEach(() => bench.remove());

function does(action: Action): unknown {
  const { result, refused } = bench.put([], action);
  expect(refused).toBeNull();
  return result;
}

function begin(id: string, changes: Partial<Run> = {}): Run {
  return does({ name: "runBegun", params: openRun(id, changes) }) as Run;
}

describe("runs", () => {
  it("are numbered from 1 by the journal and come back as they were", () => {
    const first = begin("r1", { number: 77, cause: "laser-on" });
    const second = begin("r2", { simulated: true, settings: {} });
    expect(first).toEqual(openRun("r1", { number: 1, cause: "laser-on" }));
    expect(second).toEqual(openRun("r2", { number: 2, simulated: true, settings: {} }));
    expect(reads.run("r2")).toEqual({ ...second, placed: null });
    expect(reads.run("r3")).toBeNull();
  });

  it("are open until they have been ended", () => {
    const first = begin("r1");
    const second = begin("r2");
    expect(does({ name: "openRuns", params: null })).toEqual([first, second]);
    does({ name: "runEnded", params: ended(first) });
    expect(does({ name: "openRuns", params: null })).toEqual([second]);
    expect(reads.run("r1")).toEqual({ ...ended(first), placed: null });
  });

  it("once ended are frozen, by the journal and by the file", () => {
    const run = begin("r1");
    does({ name: "runEnded", params: ended(run) });
    const again = bench.put([], { name: "runEnded", params: ended(run, { opticsHours: 3 }) });
    expect(again.refused).toMatchObject({ code: "run-not-open" });
    expect(() => bench.db.exec("UPDATE run SET stamp = '{}' WHERE id = 'r1'")).toThrow(/frozen/);
    expect(() => bench.db.exec("UPDATE run SET end_wall = 5 WHERE id = 'r1'")).toThrow(/frozen/);
    expect(reads.run("r1")).toEqual({ ...ended(run), placed: null });
  });

  it("cannot be ended without their stamp, or if unknown", () => {
    const run = begin("r1");
    const bare = bench.put([], { name: "runEnded", params: { ...ended(run), stamp: null } });
    expect(bare.refused).toMatchObject({ code: "request-invalid" });
    expect(bench.put([], { name: "runEnded", params: ended(openRun("r9")) }).refused).toMatchObject({
      code: "run-unknown",
    });
    expect(reads.run("r1")).toEqual({ ...run, placed: null });
  });

  it("may have their settings changed, also after the end, and every change is kept", () => {
    const run = begin("r1", { settings: { material: "birch", power_pct: 50 } });
    does({ name: "runEnded", params: ended(run) });
    const settings = { material: "birch", power_pct: 60, passes: 2 };
    const at = { wall: WALL + 90_000, mono: 91_000 };
    does({ name: "runSettingsChanged", params: { id: "r1", settings, at, by: "Wall screen" } });
    expect(reads.run("r1")).toEqual({ ...ended(run), settings, placed: null });
    const common = { session: 1, subject: "run:r1", at, by: "Wall screen" };
    expect(reads.settingChanges({ limit: 10 })).toEqual({
      changes: [
        { ...common, id: 2, path: "passes", old: undefined, new: 2 },
        { ...common, id: 1, path: "power_pct", old: 50, new: 60 },
      ],
      more: false,
    });
  });

  it("are listed newest first, a page at a time, with their flags and the mean of the coolant", () => {
    for (const id of ["r1", "r2", "r3", "r4"]) begin(id);
    const flag = {
      flag: "coolant-out-of-range" as const,
      text: "Coolant 23.4 °C",
      excursion: 1.4,
      seconds: 8,
    };
    const simulated = { flag: "simulated" as const, text: "Simulated", excursion: null, seconds: null };
    does({ name: "runEnded", params: ended(openRun("r1"), { flags: [simulated, flag] }) });
    does({ name: "runEnded", params: ended(openRun("r2"), { flags: [simulated] }) });
    does({ name: "runEnded", params: ended(openRun("r3"), { channels: {} }) });

    const page = reads.runs({ limit: 3 }) as { runs: { id: string }[]; more: boolean };
    expect([page.runs.map((run) => run.id), page.more]).toEqual([["r4", "r3", "r2"], true]);
    const rest = reads.runs({ limit: 3, before: 2 });
    expect(rest).toEqual({
      runs: [
        {
          id: "r1",
          number: 1,
          cause: "screen",
          startWall: WALL,
          endWall: WALL + 60_000,
          clockAtStart: "synchronised",
          placed: null,
          endCause: "screen",
          settings: openRun("r1").settings,
          simulated: false,
          flags: [
            { flag: "simulated", text: "Simulated" },
            { flag: "coolant-out-of-range", text: "Coolant 23.4 °C" },
          ],
          coolantMean: 18.5,
          lengthMs: 60_000,
        },
      ],
      more: false,
    });
    expect(reads.runs({ limit: 3, flaggedOnly: true })).toEqual(rest);
    expect(reads.runs({ limit: 1, before: 4 })).toMatchObject({ runs: [{ id: "r3", coolantMean: null }] });
    expect(() => reads.runs({ limit: 0 })).toThrow(/1 to 500/);
  });
});

describe("alarms", () => {
  it("are logged newest first, each transition once", () => {
    const raised = transition("1-1");
    const acknowledged = transition("1-2", {
      transition: "acknowledged",
      from: "unacknowledged",
      to: "acknowledged",
      run: "r1",
      by: "Wall screen",
    });
    for (const one of [raised, acknowledged, raised]) does({ name: "alarmTransition", params: one });
    expect(reads.alarmLog({ limit: 1 })).toEqual({ transitions: [{ ...acknowledged, seq: 2 }], more: true });
    expect(reads.alarmLog({ limit: 5, before: 2 })).toEqual({
      transitions: [{ ...raised, seq: 1 }],
      more: false,
    });
  });

  it("are restored from the latest transition of each, and when it was last raised where that is another", () => {
    const other = transition("1-2", { alarm: "sensor-dead:room", kind: "sensor-dead" });
    const [earlier, raised] = [transition("1-0"), transition("1-1")];
    const acknowledged = transition("1-3", {
      transition: "acknowledged",
      to: "acknowledged",
      from: "unacknowledged",
    });
    const latest = transition("1-4", { transition: "returned", to: "normal", from: "acknowledged" });
    for (const one of [earlier, raised, other, acknowledged, latest])
      does({ name: "alarmTransition", params: one });
    expect(does({ name: "lastAlarmStates", params: null })).toEqual([raised, other, latest]);
    expect(does({ name: "alarmStatesBefore", params: null })).toEqual([]);
  });
});

describe("how the alarms stood before this start", () => {
  it("is told without what this start has kept already", () => {
    const raised = transition("1-1");
    does({ name: "alarmTransition", params: raised });
    const next = writerBench(sessionStart({ start: "start-2" }), () => 0, bench.folder);
    const asked = (action: Action) => next.put([], action).result;
    const since = transition("2-1", { transition: "suppressed", to: "suppressed-by-design" });
    asked({ name: "alarmTransition", params: since });
    expect(asked({ name: "alarmStatesBefore", params: null })).toEqual([raised]);
    expect(asked({ name: "lastAlarmStates", params: null })).toEqual([raised, since]);
    next.remove();
  });
});

describe("the rest of the record", () => {
  it("keeps any change of setting, and tells JSON's null from nothing", () => {
    const at = { wall: WALL, mono: 1000 };
    const change = {
      subject: "alarm:coolant-high",
      path: "setpoint",
      old: undefined,
      new: null,
      at,
      by: null,
    };
    does({ name: "settingChanged", params: change });
    does({
      name: "settingChanged",
      params: { ...change, old: null, new: { deep: [1, "zwölf"] }, by: "Phone" },
    });
    expect(reads.settingChanges({ limit: 1 })).toEqual({
      changes: [{ ...change, id: 2, session: 1, old: null, new: { deep: [1, "zwölf"] }, by: "Phone" }],
      more: true,
    });
    const sheet = { ...change, subject: "job-sheet" };
    does({ name: "settingChanged", params: sheet });
    expect(reads.settingChanges({ limit: 1, subject: "job-sheet" })).toMatchObject({
      changes: [sheet],
      more: false,
    });
    expect(reads.settingChanges({ limit: 9, subject: change.subject, before: 2 })).toMatchObject({
      changes: [{ id: 1 }],
    });
    expect(reads.settingChanges({ limit: 1, before: 2 })).toEqual({
      changes: [{ ...change, id: 1, session: 1 }],
      more: false,
    });
  });

  it("knows when a kind of maintenance was last done", () => {
    expect(does({ name: "lastMaintenance", params: "optics-cleaned" })).toBeNull();
    for (const [kind, wall] of [
      ["optics-cleaned", 10],
      ["optics-cleaned", 20],
      ["filter-changed", 30],
    ] as const) {
      does({ name: "maintenance", params: { kind, at: { wall, mono: wall }, note: "" } });
    }
    expect(does({ name: "lastMaintenance", params: "optics-cleaned" })).toEqual({
      wall: 20,
      mono: 20,
      bootId: "boot-1",
    });
  });

  it("keeps what a channel was, once for each time that changed", () => {
    const before = channel("coolant");
    const after = channel("coolant", { name: "Coolant, inlet" });
    does({ name: "channelsDefined", params: [before, channel("room")] });
    does({ name: "channelsDefined", params: [before, channel("room")] });
    does({ name: "channelsDefined", params: [after] });
    const kept = bench.db
      .prepare(
        "SELECT c.name AS id, d.name FROM channel_definition d JOIN channel c ON c.id = d.channel ORDER BY d.id",
      )
      .all();
    expect(kept).toEqual([
      { id: "coolant", name: "Coolant in" },
      { id: "room", name: "Coolant in" },
      { id: "coolant", name: "Coolant, inlet" },
    ]);
  });

  it("keeps how the station was started", () => {
    expect(bench.db.prepare("SELECT * FROM session").all()).toEqual([
      {
        id: 1,
        start: "start-1",
        boot_id: "boot-1",
        started_wall: sessionStart().at.wall,
        started_mono: sessionStart().at.mono,
        clock: "synchronised",
        version: "0.1.0",
        simulated: 0,
        config_hash: "c0ffee",
        parcel: 0,
        crc: expect.any(Number),
      },
    ]);
  });
});
