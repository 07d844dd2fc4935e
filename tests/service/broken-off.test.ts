import { execFileSync } from "node:child_process";
import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { AlarmTransition } from "../../station/model/alarm.js";
import type { NowSnapshot, RunRow } from "../../station/model/now.js";
import type { Run } from "../../station/model/run.js";
import { Board, rigConfig, SysFolder } from "./bench-rig.js";
import { QUIET_BENCH } from "./quiet-bench.js";
import { eventually, type StationProcess, startStation, temporaryFolder } from "./station-process.js";

describe("a station that broke off in a run", () => {
  let temporary: ReturnType<typeof temporaryFolder>;
  let sys: SysFolder;
  let board: Board;
  let station: StationProcess;
  const start = async () => {
    station = await startStation(temporary.folder, rigConfig(sys, board), { more: ["--sys-root", sys.root] });
  };
  const now = () => station.get<NowSnapshot>("/api/now");
  const allGood = () =>
    eventually(async () => (await now()).channels.every((each) => each.quality === "good"), "good readings");

  beforeEach(async () => {
    temporary = temporaryFolder();
    sys = new SysFolder(temporary.folder);
    board = await Board.plugIn(temporary.folder);
    board.reportEvery(200);
    await start();
    await allGood();
  });
  afterEach(async () => {
    await station.stop();
    await board.unplug();
    temporary.remove();
  });

  it("closes the run at the next start from what the journal holds, and says so", async () => {
    await station.send("PUT", "/api/job-sheet", { material: "MDF", lot: "L7" });
    const begun = (
      await station.send("POST", "/api/runs", { settings: { material: "MDF", lot: "L7", power_pct: 55 } })
    ).body as Run;
    expect(begun.number).toBe(1);
    sys.coolant(22);
    await eventually(
      async () => (await now()).channels.find(({ id }) => id === "coolant-in")?.value === 22,
      "the warm coolant",
    );
    // A chart is drawn from the journal: once the warm coolant is in it, it has been committed.
    await eventually(async () => {
      const series = await station.get<{ buckets: { max: number | null }[] }>(
        `/api/runs/${begun.id}/series?channel=coolant-in&buckets=10`,
      );
      return series.buckets.some(({ max }) => max === 22);
    }, "the warm coolant in the journal");
    await station.kill();
    await start();
    // It is closed beside the live line.
    const run = await eventually(async () => {
      const found = await station.get<Run>(`/api/runs/${begun.id}`);
      return found.stamp === null ? null : found;
    }, "the run's stamp");
    expect(run).toMatchObject({
      number: 1,
      endCause: "station-failed",
      settings: { material: "MDF", lot: "L7", power_pct: 55 },
    });
    expect(run.endMono).toBeGreaterThan(run.startMono);
    expect(run.stamp?.channels["coolant-in"]).toMatchObject({ known: true, max: 22 });
    expect(run.stamp?.flags.map(({ flag }) => flag)).toEqual(["coolant-out-of-range", "interrupted"]);
    expect((await now()).run).toBeNull();
    expect((await now()).jobSheet).toEqual({ material: "MDF", lot: "L7", power_pct: 55 });
    const next = await station.send("POST", "/api/runs", {});
    expect((next.body as Run).number).toBe(2);
  });

  it("keeps an acknowledged alarm acknowledged, and an unacknowledged one waiting", async () => {
    const { body } = await station.send("POST", "/api/runs", {});
    board.fan = 0;
    board.report();
    sys.coolant(25);
    await eventually(async () => {
      const { alarms } = await now();
      const raised = alarms.filter(({ state }) => state === "unacknowledged").map(({ alarm }) => alarm);
      return ["coolant-high", "extraction-stopped"].every((each) => raised.includes(each));
    }, "two alarms");
    await station.send("POST", "/api/alarms/coolant-high/acknowledge", {});
    const log = () => station.get<{ transitions: AlarmTransition[] }>("/api/alarms/log");
    await eventually(async () => {
      const { transitions } = await log();
      return (
        transitions.some(({ alarm }) => alarm === "extraction-stopped") &&
        transitions.some(({ alarm, to }) => alarm === "coolant-high" && to === "acknowledged")
      );
    }, "the alarm and the acknowledgement in the journal");
    await station.kill();
    await start();
    const states = Object.fromEntries((await now()).alarms.map(({ alarm, state }) => [alarm, state]));
    expect(states["coolant-high"]).toBe("acknowledged");
    expect(["unacknowledged", "returned-unacknowledged"]).toContain(states["extraction-stopped"]);
    expect((body as Run).number).toBe(1);
  });

  it("knows nothing of the extraction after a restart until its sensor has spoken", async () => {
    await eventually(async () => (await now()).extraction.state === "running", "the extraction");
    board.hush();
    await station.kill();
    await start();
    expect((await now()).extraction.state).toBe("unknown");
    expect((await now()).readiness.fitness).toBe("cannot-tell");
    board.reportEvery(200);
    await eventually(async () => (await now()).extraction.state === "running", "the extraction again");
  });

  it("stops within its time when it is told to, with the open run closed", async () => {
    const begun = (await station.send("POST", "/api/runs", {})).body as Run;
    expect(await station.stop()).toBe(0);
    await start();
    const run = await station.get<Run>(`/api/runs/${begun.id}`);
    expect(run.endCause).toBe("station-stopped");
    const { runs } = await station.get<{ runs: RunRow[] }>("/api/runs?flagged=true");
    expect(runs.map(({ id }) => id)).toContain(begun.id);
  });
});

describe("a station that is told to stop", () => {
  it("is gone soon after, though a sensor's file is stuck in the kernel", async () => {
    const { folder, remove } = temporaryFolder();
    const probe = join(folder, "sys/bus/w1/devices/28-0000abcdef01");
    mkdirSync(probe, { recursive: true });
    // Reading from a pipe that nobody writes to is what a dead bus looks like: the read never returns.
    execFileSync("mkfifo", [join(probe, "w1_slave")]);
    const config = {
      coolant_range: { low: 16, high: 21 },
      sources: [{ id: "probe", driver: "kernel-1-wire", device: "28-0000abcdef01", every_s: 1 }],
      channels: [{ id: "coolant-in", kind: "coolant-inlet", source: "probe" }],
    };
    const station = await startStation(folder, config, { more: ["--sys-root", join(folder, "sys")] });
    await eventually(
      async () => (await station.get<NowSnapshot>("/api/now")).sources[0]?.state === "silent",
      "the stuck read",
      30_000,
    );
    await station.stop();
    expect(station.output()).toContain("stopped");
    rmSync(probe, { recursive: true });
    remove();
  });

  it("takes the same word twice for one, as npm and systemd may pass it on, and keeps the run", async () => {
    const { folder, remove } = temporaryFolder();
    const station = await startStation(folder, null);
    const begun = (await station.send("POST", "/api/runs", {})).body as Run;
    station.child.kill("SIGTERM");
    expect(await station.stop()).toBe(0);
    expect(station.output()).toContain("stopped");
    const again = await startStation(folder, null);
    expect((await again.get<Run>(`/api/runs/${begun.id}`)).endCause).toBe("station-stopped");
    await again.stop();
    remove();
  });
});

describe("a journal that cannot be had", () => {
  it("is watched past where it is damaged, and said to be", async () => {
    const { folder, remove } = temporaryFolder();
    const first = await startStation(folder, null);
    for (let i = 0; i < 30; i += 1) await first.send("PUT", "/api/job-sheet", { note: "x".repeat(400) });
    await first.stop();
    const file = join(folder, "journal", "journal.sqlite");
    const bytes = readFileSync(file);
    bytes.fill(0xa5, 4096 * 2, bytes.length);
    writeFileSync(file, bytes);
    const station = await startStation(folder, null);
    const now = () => station.get<NowSnapshot>("/api/now");
    await eventually(async () => (await now()).coolantLine.some(({ mean }) => mean !== null), "the coolant");
    await eventually(() => /damaged|malformed/.test(station.output()), "the words of the damage");
    await station.stop();
    remove();
  });

  it("is left alone by a second station, with the first one's open run", async () => {
    const { folder, remove } = temporaryFolder();
    const first = await startStation(folder, null);
    const begun = (await first.send("POST", "/api/runs", {})).body as Run;
    await expect(startStation(folder, null)).rejects.toThrow(
      /ended with 1:[\s\S]*Something else is writing the journal in/,
    );
    const ended = await first.send("POST", `/api/runs/${begun.id}/end`);
    expect(ended.status).toBe(200);
    expect((ended.body as Run).endCause).toBe("screen");
    await first.stop();
    remove();
  });

  it("does not keep the coolant and the alarms from being watched, and is taken up when it can be", async () => {
    const { folder, remove } = temporaryFolder();
    const first = await startStation(folder, null);
    await first.send("POST", "/api/runs", { settings: { material: "birch ply" } });
    await first.send("POST", "/api/optics/cleaned");
    await first.stop();
    const lock = new Database(join(folder, "journal", "journal.sqlite"));
    lock.exec("BEGIN EXCLUSIVE");
    const station = await startStation(folder, QUIET_BENCH);
    const now = () => station.get<NowSnapshot>("/api/now");
    await eventually(
      async () => (await now()).alarms.some(({ alarm }) => alarm === "journal-not-writing"),
      "its alarm",
    );
    await eventually(async () => (await now()).coolantLine.some(({ mean }) => mean !== null), "the coolant");
    const begun = await station.send("POST", "/api/runs", {});
    expect(begun.status).toBe(202);
    expect((await now()).optics.cleanedWall).toBeNull();
    lock.exec("COMMIT");
    lock.close();
    await eventually(async () => (await now()).journal.writing, "the journal", 40_000);
    const run = await eventually(async () => {
      // Its number is the journal's, and comes once the run is in it.
      const open = (await now()).run;
      return open?.number === 2 ? open : null;
    }, "the open run with its number");
    await eventually(async () => (await now()).jobSheet.material === "birch ply", "the job sheet of before");
    expect((await now()).optics.cleanedWall).not.toBeNull();
    await station.send("POST", `/api/runs/${run.id}/end`);
    // The list of the runs before one is the journal's alone.
    const ended = await eventually(async () => {
      const { runs } = await station.get<{ runs: RunRow[] }>("/api/runs?before=1000");
      return runs.find(({ id, endWall }) => id === run.id && endWall !== null);
    }, "the end on the disk");
    expect(ended.number).toBe(2);
    await station.stop();
    remove();
  });
});

describe("a station that cannot start", () => {
  it("says that another program listens at its address", async () => {
    const { folder, remove } = temporaryFolder();
    const first = await startStation(folder, null);
    const { folder: other, remove: removeOther } = temporaryFolder();
    const second = startStation(other, null, { port: Number(new URL(first.url).port) });
    await expect(second).rejects.toThrow(/ended with 1:[\s\S]*another program listens there/);
    await first.stop();
    remove();
    removeOther();
  });

  it("names the line of a wrong configuration, and starts nothing", async () => {
    const { folder, remove } = temporaryFolder();
    const wrong = startStation(folder, {
      coolant_range: { low: 15, high: "warm" },
      sources: [],
      channels: [],
    });
    await expect(wrong).rejects.toThrow(
      /ended with 1:[\s\S]*line 3, coolant_range\.high: found "warm"; expected a number/,
    );
    remove();
  });

  it("does not put the simulated bench in place of a file that is not there", async () => {
    const { folder, remove } = temporaryFolder();
    const missing = startStation(folder, null, { more: ["--config", "nowhere.yaml"] });
    await expect(missing).rejects.toThrow(/nowhere\.yaml could not be read: it is not there/);
    remove();
  });
});
