import { afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import type { NowSnapshot, RunRow } from "../../station/model/now.js";
import type { Run } from "../../station/model/run.js";
import { buildFirmware, whyNotBuilt } from "../sources/board/firmware-build.js";
import { FirmwareRig, firmwareConfig } from "./firmware-rig.js";
import { eventually, type StationProcess, startStation, temporaryFolder } from "./station-process.js";

/**
 * The reference firmware in an emulated chip of 16 MHz, its serial line a real pair of terminals, and at the other end the built
 * station with its real serial driver. The emulated clock is let go four times as fast as the real one, so that nobody waits for its
 * seconds. Whether it does is nobody's promise (a quiet core reaches some fifteen), and nothing here asks how long anything took.
 */
const why = whyNotBuilt();
/** For a machine that is small or has much else to do. */
const PATIENCE_MS = 300_000;

describe.skipIf(why !== "")(
  `from a timer's tick in the firmware to a stamped run${why}`,
  { timeout: PATIENCE_MS },
  () => {
    let program: Uint16Array;
    let rig: FirmwareRig;
    let station: StationProcess;
    let remove: () => void;
    const now = () => station.get<NowSnapshot>("/api/now");
    const channel = async (id: string) => (await now()).channels.find((each) => each.id === id);
    const source = async () => (await now()).sources.find((each) => each.source === "board");
    const until = <T>(look: () => Promise<T>, what: string) => eventually(look, what, PATIENCE_MS / 3);

    const start = async (speed: number) => {
      const made = temporaryFolder();
      remove = made.remove;
      rig = await FirmwareRig.plugIn(made.folder, program);
      const { board } = rig;
      board.coolantIn.celsius = 18.5;
      board.coolantOut.celsius = 20.25;
      board.room.measures(20, 45);
      board.pascals = 120;
      board.fanPerMinute = 1500;
      board.litresPerMinute = 4.2;
      station = await startStation(made.folder, firmwareConfig(rig.path));
      // Its port is open first: a board tells of its start for ten lines only.
      await until(async () => (await source())?.state === "open", "the open port");
      rig.switchOn(speed);
      await until(
        async () => (await now()).channels.every(({ quality }) => quality === "good"),
        "good readings",
      );
    };
    /** From laser-on to laser-off, with the coolant at another temperature before its end. */
    const cut = async (celsius: number): Promise<Run> => {
      rig.board.laser = true;
      const { id } = await until(async () => (await now()).run, "an open run");
      rig.board.coolantIn.celsius = celsius;
      await until(async () => (await channel("coolant-in"))?.value === celsius, "the coolant as it is now");
      rig.board.laser = false;
      await until(async () => (await now()).run === null, "the end of the run");
      return until(async () => {
        const run = await station.get<Run>(`/api/runs/${id}`);
        return run.stamp === null ? null : run;
      }, "its stamp");
    };

    beforeAll(() => {
      program = buildFirmware();
    });
    beforeEach(() => start(4));
    afterEach(async () => {
      await station?.stop();
      await rig?.end();
      remove?.();
    });

    it("stamps a run with the conditions that the emulated sensors gave", async () => {
      expect((await channel("coolant-out"))?.value).toBe(20.25);
      expect((await channel("coolant-flow"))?.value).toBeCloseTo(4.2, 2);
      const { cause, endCause, stamp } = await cut(21.5);
      expect([cause, endCause]).toEqual(["laser-on", "laser-on"]);
      if (stamp === null) throw new Error("an ended run has its stamp");
      const { channels, conditions, flags, simulated } = stamp;
      expect(simulated).toBe(false);
      expect(channels["coolant-in"]).toMatchObject({
        known: true,
        min: 18.5,
        max: 21.5,
        last: 21.5,
        goodShare: 1,
      });
      expect(channels["coolant-out"]).toMatchObject({ known: true, min: 20.25, max: 20.25 });
      expect(channels["room-t"]?.mean).toBeCloseTo(20, 1);
      expect(channels["room-rh"]?.mean).toBeCloseTo(45, 1);
      expect(channels.fan?.mean).toBeCloseTo(1500, 0);
      expect(channels["coolant-flow"]?.mean).toBeCloseTo(4.2, 2);
      expect(Math.abs((channels.duct?.mean ?? 0) - 120)).toBeLessThan(0.7);
      // 20 °C and 45 % RH: dew point 7.7 °C by the Magnus formula of WMO-No. 8.
      expect(conditions["dew-point"]?.mean).toBeCloseTo(7.7, 1);
      expect(flags.find(({ flag }) => flag === "coolant-out-of-range")?.excursion).toBeCloseTo(0.5, 9);
    });

    it("never shows what a probe said last once it is torn out, and raises its alarm", async () => {
      rig.board.coolantIn.isThere = false;
      await until(async () => (await channel("coolant-in"))?.reason === "unplugged", "the probe torn out");
      expect(await channel("coolant-in")).toMatchObject({ value: null, quality: "bad" });
      const alarm = async () => (await now()).alarms.find((each) => each.alarm === "sensor-dead:coolant-in");
      expect(await until(alarm, "the alarm")).toMatchObject({ state: "unacknowledged" });
      rig.board.coolantIn.mend();
      await until(async () => (await channel("coolant-in"))?.value === 18.5, "the probe back");
    });

    it("says that the board began anew by its watchdog, and goes on with it", async () => {
      expect((await source())?.restart).toMatchObject({ cause: "power-on", count: 1 });
      rig.board.hang();
      const restart = await until(async () => {
        const found = (await source())?.restart;
        return found?.cause === "watchdog" ? found : null;
      }, "the board's new start");
      expect(restart.count).toBe(2);
      expect(rig.board.watchdogResets).toBe(1);
      expect(station.output()).toMatch(
        /warn the board began anew: its program hung, .* source=board count=2/,
      );
      const run = await cut(19);
      expect(run.stamp?.channels["coolant-in"]).toMatchObject({ known: true, last: 19 });
    });

    it("counts lines whose bytes were lost on the way, and reads the others", async () => {
      expect((await source())?.dropped).toEqual({});
      rig.lose(12);
      const dropped = await until(async () => {
        const counts = (await source())?.dropped;
        return counts?.lost === undefined ? null : counts;
      }, "the lost line");
      expect((dropped.torn ?? 0) + (dropped["wrong-crc"] ?? 0)).toBe(1);
      const before = (await source())?.accepted ?? 0;
      await until(async () => ((await source())?.accepted ?? 0) > before, "another line");
      expect((await channel("coolant-in"))?.quality).toBe("good");
    });

    it("takes a board whose time goes slower than the real one for what it is", async () => {
      await station.stop();
      await rig.end();
      remove();
      await start(0.5);
      const run = await cut(17);
      expect(run.stamp?.channels["coolant-in"]).toMatchObject({ known: true, last: 17 });
      expect(await source()).toMatchObject({
        state: "open",
        dropped: {},
        restart: { cause: "power-on", count: 1 },
      });
      const { runs } = await station.get<{ runs: RunRow[] }>("/api/runs");
      expect(runs).toHaveLength(1);
    });
  },
);
