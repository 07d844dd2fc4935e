import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { isDeepStrictEqual } from "node:util";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { stringify } from "yaml";
import { readConfig } from "../../station/config.js";
import { openReader } from "../../station/journal/reader.js";
import type { AlarmTransition } from "../../station/model/alarm.js";
import type { NowSnapshot, RunRow } from "../../station/model/now.js";
import type { Run } from "../../station/model/run.js";
import { restamp } from "../../station/trials/recover.js";
import { Board, rigConfig, SysFolder } from "./bench-rig.js";
import { eventually, type StationProcess, startStation, temporaryFolder } from "./station-process.js";

describe("from the sensors to a stamped run", () => {
  const { folder, remove } = temporaryFolder();
  const sys = new SysFolder(folder);
  let board: Board;
  let station: StationProcess;
  const now = () => station.get<NowSnapshot>("/api/now");
  const channel = async (id: string) => (await now()).channels.find((each) => each.id === id);
  const alarm = async (id: string) => (await now()).alarms.find((each) => each.alarm === id);
  const newestRun = async () => (await station.get<{ runs: RunRow[] }>("/api/runs")).runs[0];

  beforeAll(async () => {
    board = await Board.plugIn(folder);
    board.reportEvery(200);
    station = await startStation(folder, rigConfig(sys, board), { more: ["--sys-root", sys.root] });
  });
  afterAll(async () => {
    await station?.stop();
    await board?.unplug();
    remove();
  });

  it("shows what the probe, the room sensor and the board say, each good and fresh", async () => {
    await eventually(
      async () => (await now()).channels.every((each) => each.quality === "good"),
      "good readings",
    );
    expect(await channel("coolant-in")).toMatchObject({
      value: 18.5,
      unit: "Cel",
      quality: "good",
      simulated: false,
    });
    expect(await channel("room-rh")).toMatchObject({ value: 45 });
    expect(await channel("fan-speed")).toMatchObject({ value: 1500 });
    const { readiness, extraction, conditions, simulated } = await now();
    expect(simulated).toBe(false);
    expect(extraction.state).toBe("running");
    expect(readiness.fitness).toBe("fit");
    // 20 °C and 45 % RH: dew point 7.7 °C by the Magnus formula of WMO-No. 8, so 10.8 °C below the coolant.
    expect(conditions.find(({ id }) => id === "condensation-margin")?.value).toBeCloseTo(10.8, 1);
  });

  it("opens a run by the laser, stamps it, and flags the coolant that left its range", async () => {
    await station.send("PUT", "/api/job-sheet", {
      material: "MDF 3 mm",
      lot: "L1",
      power_pct: 60,
      speed_mm_s: 12,
    });
    board.laser = true;
    board.report();
    const open = await eventually(async () => (await now()).run, "an open run");
    expect(open).toMatchObject({
      cause: "laser-on",
      settings: { material: "MDF 3 mm", power_pct: 60 },
      stamp: null,
    });
    sys.coolant(21.5);
    await eventually(async () => (await channel("coolant-in"))?.value === 21.5, "the warm coolant");
    sys.coolant(20.5);
    await eventually(async () => (await channel("coolant-in"))?.value === 20.5, "the coolant back in range");
    board.laser = false;
    board.report();
    await eventually(async () => (await now()).run === null, "the end of the run");
    const row = await eventually(async () => {
      const newest = await newestRun();
      return newest?.endWall === null ? null : newest;
    }, "the run in the list");
    expect(row).toMatchObject({ number: 1, endCause: "laser-on", simulated: false });
    const run = await station.get<Run>(`/api/runs/${row.id}`);
    const flag = run.stamp?.flags.find((each) => each.flag === "coolant-out-of-range");
    expect(flag?.excursion).toBeCloseTo(0.5, 9);
    expect(flag?.seconds).toBeGreaterThan(0.5);
    expect(flag?.text).toMatch(/above 21 °C for .* up to 21.5 °C \(0.5 °C over\)/);
    const coolant = run.stamp?.channels["coolant-in"];
    expect(coolant).toMatchObject({
      known: true,
      min: 18.5,
      max: 21.5,
      first: 18.5,
      last: 20.5,
      goodShare: 1,
    });
    expect(run.stamp?.conditions["dew-point"]?.mean).toBeCloseTo(7.7, 1);
    expect(run.stamp).toMatchObject({
      bootId: open.bootId,
      simulated: false,
      coolantRange: { low: 16, high: 21 },
    });
  });

  it("raises an alarm when the extraction stops in a cut, takes the acknowledgement, and lets it return", async () => {
    const begun = await station.send("POST", "/api/runs", { settings: { material: "Plywood" } });
    expect(begun.status).toBe(201);
    board.fan = 0;
    board.report();
    const raised = await eventually(() => alarm("extraction-stopped"), "the alarm");
    expect(raised).toMatchObject({ priority: "urgent", state: "unacknowledged" });
    expect((await now()).annunciation.sound).toBe("urgent");
    expect((await now()).readiness.fitness).toBe("not-fit");

    const acknowledged = await station.send("POST", "/api/alarms/extraction-stopped/acknowledge", {
      by: "the bench",
    });
    expect(acknowledged.status).toBe(200);
    expect((await alarm("extraction-stopped"))?.state).toBe("acknowledged");
    expect((await now()).annunciation.sound).toBeNull();

    board.fan = 1500;
    board.report();
    await eventually(async () => (await alarm("extraction-stopped")) === undefined, "the alarm's return");
    const ended = await station.send("POST", `/api/runs/${(begun.body as Run).id}/end`);
    expect(ended.status).toBe(200);
    expect((ended.body as Run).stamp?.flags.map(({ flag }) => flag)).toContain("extraction-stopped");

    const { transitions } = await station.get<{ transitions: AlarmTransition[] }>("/api/alarms/log");
    const life = transitions.filter((each) => each.alarm === "extraction-stopped").reverse();
    expect(life.map(({ from, to }) => `${from} > ${to}`)).toEqual([
      "normal > unacknowledged",
      "unacknowledged > acknowledged",
      "acknowledged > normal",
    ]);
    expect(life[1]).toMatchObject({ by: "the bench", run: (begun.body as Run).id });
  });

  it("begins and ends a run by the foot switch, a press each", async () => {
    const press = () => {
      board.pedal = true;
      board.report();
      board.pedal = false;
      board.report();
    };
    press();
    const run = await eventually(async () => (await now()).run, "the run the pedal began");
    expect(run.cause).toBe("foot-switch");
    press();
    await eventually(async () => (await now()).run === null, "its end");
    const kept = await eventually(async () => {
      const ended = await station.get<Run>(`/api/runs/${run.id}`);
      return ended.stamp === null ? null : ended;
    }, "its stamp");
    expect(kept.endCause).toBe("foot-switch");
  });

  it("calls a dead probe dead at once, never shows its last value, and takes it back when it answers again", async () => {
    sys.coolantFails();
    const dead = await eventually(() => alarm("sensor-dead:coolant-in"), "the dead sensor's alarm");
    expect(dead).toMatchObject({ priority: "high", state: "unacknowledged" });
    expect(await channel("coolant-in")).toMatchObject({ value: null, quality: "bad", reason: "empty" });
    expect((await now()).readiness.fitness).toBe("cannot-tell");
    sys.coolantUnplugged();
    await eventually(async () => (await channel("coolant-in"))?.reason === "missing", "the missing probe");
    sys.coolant(18);
    await eventually(async () => (await channel("coolant-in"))?.value === 18, "the probe back");
    await eventually(
      async () => (await alarm("sensor-dead:coolant-in"))?.state === "returned-unacknowledged",
      "its return",
    );
  });

  it("stamps a run without coolant data as unknown, with no number in it", async () => {
    sys.coolantFails();
    await eventually(async () => (await channel("coolant-in"))?.value === null, "the dead probe");
    const { body } = await station.send("POST", "/api/runs", {});
    const end = await station.send("POST", `/api/runs/${(body as Run).id}/end`);
    const { stamp } = end.body as Run;
    expect(stamp?.flags.map(({ flag }) => flag)).toContain("conditions-unknown");
    expect(stamp?.channels["coolant-in"]).toMatchObject({
      known: false,
      min: null,
      mean: null,
      max: null,
      first: null,
      last: null,
    });
    sys.coolant(18);
  });

  it("notices a board that is pulled out, and finds it again when it is back", async () => {
    await board.unplug();
    await eventually(async () => (await channel("fan-speed"))?.value === null, "the lost fan");
    expect((await now()).extraction.state).toBe("unknown");
    await eventually(() => alarm("board-silent:board"), "the board's alarm");
    // One alarm for all that is wired to it.
    const standing = (await now()).alarms.filter(({ state }) => state === "unacknowledged");
    expect(standing.map(({ alarm: id }) => id).filter((id) => /fan|laser|pedal/.test(id))).toEqual([]);
    const source = (await now()).sources.find((each) => each.source === "board");
    expect(source?.state).not.toBe("open");
    await board.plugBackIn(folder);
    board.reportEvery(200);
    await eventually(async () => (await channel("fan-speed"))?.value === 1500, "the fan again");
  });

  it("drops and counts what is not a frame", async () => {
    board.write('[{"n":"fan","u":"1/min","v":9999}]*0000\n');
    board.write("nonsense\n");
    const dropped = await eventually(async () => {
      const source = (await now()).sources.find((each) => each.source === "board");
      return source?.dropped["wrong-crc"] === undefined ? null : source.dropped;
    }, "the count");
    expect(dropped["wrong-crc"]).toBe(1);
    expect((await channel("fan-speed"))?.value).toBe(1500);
  });

  it("froze stamps that come out the same when they are worked out again from the journal", async () => {
    const { runs } = await station.get<{ runs: RunRow[] }>("/api/runs");
    const { channels, coolant_range: coolantRange } = readConfig(
      stringify(rigConfig(sys, board)),
      "station.yaml",
    );
    const rules = { definitions: channels, coolantRange, minGoodShare: 0.5 };
    const workerUrl = pathToFileURL(join(process.cwd(), ".build/station/journal/reader-thread.js"));
    const reader = await openReader({ folder: join(folder, "journal"), workerUrl });
    expect(runs.length).toBeGreaterThanOrEqual(4);
    for (const { id } of runs) {
      const run = await reader.run(id);
      if (run?.stamp == null) throw new Error("an ended run has its stamp");
      // The last readings may be on their way to the disk, behind others that never end.
      const isStamped = async () => isDeepStrictEqual(await restamp(run, reader, rules), run.stamp);
      await eventually(isStamped, `run ${run.number} stamped by its readings`).catch(() => undefined);
      expect(await restamp(run, reader, rules), `run ${run.number}`).toEqual(run.stamp);
    }
    await reader.close();
  });

  it("draws the window of a run from the journal", async () => {
    const first = (await station.get<{ runs: RunRow[] }>("/api/runs?limit=200")).runs.at(-1);
    const series = await station.get<{ buckets: { min: number | null; max: number | null }[] }>(
      `/api/runs/${first?.id}/series?channel=coolant-in&buckets=20`,
    );
    const values = series.buckets.flatMap(({ min, max }) => (min === null || max === null ? [] : [min, max]));
    expect(Math.max(...values)).toBe(21.5);
  });
});
