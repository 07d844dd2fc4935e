import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { AlarmDefinition, AlarmTransition, SuppressedAlarm } from "../../station/model/alarm.js";
import type { AlarmPerformanceView } from "../../station/model/alarm-performance.js";
import type { AlarmSettingView, SettingHistoryEntry } from "../../station/model/alarm-setting.js";
import type { NowSnapshot, Problem } from "../../station/model/now.js";
import { Board, rigConfig, SysFolder } from "./bench-rig.js";
import { eventually, type StationProcess, startStation, temporaryFolder } from "./station-process.js";

describe("the life of an alarm, over restarts", () => {
  const { folder, remove } = temporaryFolder();
  const sys = new SysFolder(folder);
  const HOT = 25;
  let board: Board;
  let station: StationProcess;
  const start = async () => {
    station = await startStation(folder, rigConfig(sys, board), { more: ["--sys-root", sys.root] });
  };
  const now = () => station.get<NowSnapshot>("/api/now");
  const standing = async () => (await now()).alarms.map(({ alarm, state }) => `${alarm} ${state}`);
  const suppressed = async (id: string): Promise<SuppressedAlarm | undefined> =>
    (await now()).suppressed?.find(({ alarm }) => alarm === id);
  const does = async (alarm: string, what: string, body: object = {}) => {
    const { status, body: answer } = await station.send("POST", `/api/alarms/${alarm}/${what}`, {
      by: "wall screen",
      ...body,
    });
    return status === 200 ? "done" : (answer as Problem).code;
  };

  beforeAll(async () => {
    board = await Board.plugIn(folder);
    board.reportEvery(200);
    await start();
    await eventually(
      async () => (await now()).channels.every((each) => each.quality === "good"),
      "good readings",
    );
  });
  afterAll(async () => {
    await station?.stop();
    await board?.unplug();
    remove();
  });

  it("is shelved for no longer than its priority allows, and never without a reason", async () => {
    sys.coolant(HOT);
    await eventually(async () => (await standing()).includes("coolant-high unacknowledged"), "the alarm");
    expect(await does("coolant-high", "shelve", { minutes: 121, reason: "new chiller" })).toBe(
      "request-invalid",
    );
    expect(await does("coolant-high", "shelve", { minutes: 60 })).toBe("request-invalid");
    expect(await does("coolant-high", "unshelve")).toBe("alarm-not-shelved");
    expect(await does("coolant-high", "shelve", { minutes: 60, reason: "new chiller" })).toBe("done");
    expect(await standing()).toEqual([]);
    const { annunciation, readiness } = await now();
    expect(annunciation.sound).toBeNull();
    expect(readiness.fitness).not.toBe("fit");
    expect(await does("coolant-high", "shelve", { minutes: 60, reason: "again" })).toBe("alarm-shelved");
  });

  it.each(["told to stop", "killed"])(
    "is on the shelf still after the station was %s, for less than before",
    async (how) => {
      const before = await suppressed("coolant-high");
      if (how === "killed") await station.kill();
      else await station.stop();
      await start();
      await eventually(
        async () => (await suppressed("coolant-high"))?.leftMs != null,
        "the time that is left",
      );
      const after = await suppressed("coolant-high");
      expect(after).toMatchObject({ state: "shelved", reason: "new chiller", by: "wall screen" });
      expect(after?.leftMs).toBeLessThan(before?.leftMs ?? 0);
      expect(after?.leftMs).toBeGreaterThan(59 * 60_000 - 60_000);
      await eventually(
        async () => (await suppressed("coolant-high"))?.conditionThere === true,
        "the coolant to be seen as too warm",
      );
    },
  );

  it("is raised at once when it is taken off the shelf while it is there", async () => {
    expect(await does("coolant-high", "unshelve")).toBe("done");
    await eventually(
      async () => (await standing()).includes("coolant-high unacknowledged"),
      "the alarm again",
    );
  });

  it("stays out of service over a restart until it is put back, with its reason", async () => {
    expect(await does("coolant-high", "out-of-service", { reason: "probe is being moved" })).toBe("done");
    await station.stop();
    await start();
    expect(await suppressed("coolant-high")).toMatchObject({
      ...{ state: "out-of-service", reason: "probe is being moved", by: "wall screen", leftMs: null },
    });
    expect(await does("coolant-high", "shelve", { minutes: 5, reason: "why not" })).toBe(
      "alarm-out-of-service",
    );
    expect(await does("coolant-high", "in-service")).toBe("done");
    await eventually(
      async () => (await standing()).includes("coolant-high unacknowledged"),
      "the alarm again",
    );
  });

  it("is set otherwise on the page, at once, with its reason, and so after a restart; and goes back to the file", async () => {
    const put = (set: object, why = "The tube's maker allows more") =>
      station.send("PUT", "/api/alarms/coolant-high/setting", { set, why, by: "owner" });
    const low = await put({ setpoint: 15 });
    expect([low.status, (low.body as Problem).errors?.[0]?.path]).toEqual([422, "setpoint"]);
    expect((await put({ setpoint: 30, deadband: 1 })).status).toBe(200);
    await eventually(
      async () => (await standing()).includes("coolant-high returned-unacknowledged"),
      "its return",
    );
    await station.kill();
    await start();
    const view = await station.get<AlarmSettingView>("/api/alarms/coolant-high/setting");
    expect(view).toMatchObject({
      definition: { setpoint: 30, deadband: 1, reason: "The tube's maker allows more" },
      file: { setpoint: 21 },
      changed: ["setpoint", "deadband"],
    });
    const { definitions } = await station.get<{ definitions: AlarmDefinition[] }>("/api/alarms");
    expect(definitions.find(({ id }) => id === "coolant-high")?.setpoint).toBe(30);
    const back = await station.send("DELETE", "/api/alarms/coolant-high/setting", {
      why: "Was too much",
      by: "owner",
    });
    expect(back.status).toBe(200);
    await eventually(
      async () => (await standing()).includes("coolant-high unacknowledged"),
      "the alarm once more",
    );
    const { history } = await station.get<{ history: SettingHistoryEntry[] }>(
      "/api/alarms/coolant-high/history",
    );
    expect(history).toMatchObject([
      {
        ...{ by: "owner", why: "Was too much", toFile: true },
        changes: [
          { field: "setpoint", from: 30, to: 21 },
          { field: "deadband", from: 1, to: 0.2 },
        ],
      },
      {
        by: "owner",
        toFile: false,
        changes: [
          { from: 21, to: 30 },
          { from: 0.2, to: 1 },
        ],
      },
    ]);
    // The range by which runs are flagged is none of the alarm's.
    expect((await now()).coolant).toMatchObject({ low: 16, high: 21 });
  });

  it("tells all of it in the log, and counts it", async () => {
    const { transitions } = await station.get<{ transitions: AlarmTransition[] }>(
      "/api/alarms/log?limit=200",
    );
    const told = transitions
      .filter(({ alarm }) => alarm === "coolant-high")
      .map(({ transition }) => transition);
    expect(told.toReversed()).toEqual([
      ...["raised", "shelved", "unshelved", "raised", "out-of-service", "in-service", "raised"],
      ...["returned", "raised"],
    ]);
    const figures = await station.get<AlarmPerformanceView>("/api/alarms/performance?days=7");
    expect(figures).toMatchObject({
      ...{ raised: 4, shelved: 1, takenOutOfService: 1, undated: 0 },
      frequent: [{ alarm: "coolant-high", count: 4, share: 1 }],
      now: { standing: 1, shelved: 0, outOfService: 0 },
    });
  });
});
