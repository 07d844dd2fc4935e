import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { NowSnapshot } from "../../station/model/now.js";
import { readExposition } from "../published/openmetrics-rules.js";
import { Board, rigConfig, SysFolder } from "../service/bench-rig.js";
import { IN_A_FILE, IN_MEMORY, type SmallDisk, smallDisk, whyNone } from "../service/small-disk.js";
import { station as command } from "../service/station-command.js";
import {
  eventually,
  type StationProcess,
  startStation,
  temporaryFolder,
} from "../service/station-process.js";

const QUICK = { on_delay_s: 0, off_delay_s: 0 };
/** Where a picture of the page is put, if anybody wants to look at it. */
const PICTURES = process.env.PICTURES;

let outside: ReturnType<typeof temporaryFolder>;
let disk: SmallDisk | null = null;
let board: Board | null = null;
let station: StationProcess | null = null;
beforeEach(() => {
  outside = temporaryFolder();
});
afterEach(async () => {
  await station?.kill();
  await board?.unplug();
  await disk?.remove();
  [station, board, disk] = [null, null, null];
  outside.remove();
});

/** The whole station, built, its journal on the small disk and its sensors in a folder outside. */
async function bench(on: SmallDisk) {
  disk = on;
  const sys = new SysFolder(outside.folder);
  board = await Board.plugIn(outside.folder);
  board.reportEvery(300);
  const { alarms, ...config } = rigConfig(sys, board) as { alarms: object };
  const running = await startStation(
    outside.folder,
    {
      ...config,
      journal: { reserve_mb: 8 },
      alarms: {
        ...alarms,
        "disk-filling": { ...QUICK, setpoint: 40, deadband: 1 },
        "disk-nearly-full": { ...QUICK, setpoint: 25, deadband: 1 },
        "readings-held": QUICK,
        disk_filling_days: 1,
      },
    },
    { more: ["--sys-root", sys.root], journal: join(on.folder, "journal"), through: on.through },
  );
  station = running;
  const now = () => running.get<NowSnapshot>("/api/now");
  return {
    sys,
    running,
    now,
    standing: (alarm: string) =>
      eventually(
        async () =>
          (await now()).alarms.some((each) => each.alarm === alarm && each.state === "unacknowledged"),
        `the alarm ${alarm}`,
      ),
    metric: async (family: string) => {
      const text = await (await fetch(`${running.url}/metrics`)).text();
      return readExposition(text).get(family)?.samples[0]?.value;
    },
  };
}

/** The readings in the journal by channel, as monotonic milliseconds in the order they were written. */
async function exported(on: SmallDisk): Promise<Map<string, number[]>> {
  const folder = join(outside.folder, "copy");
  mkdirSync(folder);
  await on.run(`cp $D/journal/journal.sqlite* ${folder}`);
  const verified = command(outside.folder, "verify", "--journal", folder);
  expect(verified.stderr + verified.stdout).toMatch(/sound|agree/);
  expect(verified.status).toBe(0);
  const { stdout } = command(outside.folder, "export", "--journal", folder);
  const channels = new Map<string, number[]>();
  for (const row of stdout.trim().split("\r\n").slice(1)) {
    const [, mono, , , channel = ""] = row.split(",");
    channels.set(channel, [...(channels.get(channel) ?? []), Number(mono)]);
  }
  return channels;
}

/** Every channel gives a reading about once a second, or says so with a bad one: nothing is missing and nothing is twice. */
function expectWhole(channels: Map<string, number[]>): void {
  expect([...channels.keys()].sort()).toEqual([
    "coolant-in",
    "fan-speed",
    "laser",
    "pedal",
    "room-rh",
    "room-t",
  ]);
  for (const monos of channels.values()) {
    const steps = monos.slice(1).map((mono, i) => mono - (monos[i] as number));
    expect(Math.min(...steps)).toBeGreaterThan(0);
    expect(Math.max(...steps)).toBeLessThan(4000);
  }
}

const inMemory = whyNone(IN_MEMORY);
describe.skipIf(inMemory !== null)(
  `the station on a disk that fills up${inMemory === null ? "" : ` (${inMemory})`}`,
  () => {
    it("says it first, holds readings last, keeps runs, and writes what it held when there is room", async () => {
      const on = await smallDisk(IN_MEMORY, 64e6);
      const { running, now, standing, metric } = await bench(on);
      await eventually(
        async () => (await now()).channels.every(({ quality }) => quality === "good"),
        "readings",
      );
      expect((await now()).alarms).toEqual([]);

      await on.fillUp(35e6);
      await standing("disk-filling");
      await on.run("rm $D/filling");
      await on.fillUp(20e6);
      await standing("disk-nearly-full");
      expect((await now()).journal.held).toBe(false);
      await on.run("rm $D/filling");
      await on.fillUp(6e6);
      await standing("readings-held");

      const begun = await running.send("POST", "/api/runs", { settings: { material: "birch ply 3 mm" } });
      expect(begun.status).toBe(201);
      const { run, journal, readiness } = await now();
      expect(journal).toMatchObject({ writing: true, held: true });
      expect(readiness).toMatchObject({ fitness: "fit" });
      await eventually(async () => (await now()).journal.waiting > 20, "readings to wait");
      expect((await running.send("POST", `/api/runs/${run?.id}/end`, {})).status).toBe(200);
      expect(await metric("station_journal_readings_held")).toBe(1);
      if (PICTURES !== undefined) await picture(running.url, PICTURES);
      const target = join(on.folder, "backups");
      await on.run(`mkdir ${target}`);
      const backup = await on
        .run(
          `cd ${process.cwd()} && ${process.execPath} .build/station/command.js backup --journal $D/journal --to ${target} 2>&1 || true`,
        )
        .then((words) => words);
      expect(backup).toContain("there is no room for a backup");

      await on.makeRoom();
      await eventually(async () => {
        const { held, waiting } = (await now()).journal;
        return !held && waiting < 20;
      }, "what was held to be written");
      await eventually(
        async () => (await now()).alarms.every(({ state }) => state === "returned-unacknowledged"),
        "the alarms to return",
      );
      expect(await metric("station_journal_dropped_readings")).toBe(0);
      expect(await running.stop()).toBe(0);
      station = null;
      expectWhole(await exported(on));
    });
  },
);

const inAFile = whyNone(IN_A_FILE);
describe.skipIf(inAFile !== null)(
  `the station on a disk that hangs for five seconds${inAFile === null ? "" : ` (${inAFile})`}`,
  () => {
    it("loses nothing, raises its alarms meanwhile, and knows how long a commit took", async () => {
      const on = await smallDisk(IN_A_FILE, 64e6);
      const { sys, running, now, standing, metric } = await bench(on);
      await eventually(
        async () => (await now()).channels.every(({ quality }) => quality === "good"),
        "readings",
      );
      const before = (await now()).wall;
      await on.run("fsfreeze -f $D");
      try {
        sys.coolant(30);
        await standing("coolant-high");
        await eventually(
          async () => (await now()).wall > before + 6000,
          "six seconds of the station's clock",
        );
        expect((await now()).journal.waiting).toBeGreaterThan(10);
      } finally {
        await on.run("fsfreeze -u $D");
      }
      await eventually(async () => (await now()).journal.waiting < 20, "what waited to be written");
      expect(await metric("station_journal_commit_longest_seconds")).toBeGreaterThan(3);
      expect(await metric("station_journal_dropped_readings")).toBe(0);
      expect(await running.stop()).toBe(0);
      station = null;
      expectWhole(await exported(on));
    });
  },
);

async function picture(url: string, folder: string): Promise<void> {
  const { openBrowser } = await import("../browser/chromium.js");
  const browser = await openBrowser();
  const page = await browser.newPage({ viewport: { width: 800, height: 480 } });
  await page.goto(url);
  await page.getByText("Readings are held: the disk is full").first().waitFor();
  await page.screenshot({ path: join(folder, "disk-full.png") });
  await browser.close();
}
