import { mkdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import type { NowSnapshot } from "../../station/model/now.js";
import type { Run } from "../../station/model/run.js";
import { DEMO_CONFIG, DEMO_SOURCE } from "../../station/sources/bench-simulator/channels.js";
import { STATION_COMMAND } from "../service/station-command.js";
import {
  eventually,
  type StationProcess,
  startStation,
  temporaryFolder,
} from "../service/station-process.js";
import { buildIfMissing } from "../unit/journal/built.js";
import {
  ARM64_FOLDER,
  HERE,
  type Machine,
  mustRunOn,
  ON_ARM64,
  THROUGH,
  whyNoArm64,
} from "./arm64/system.js";

const why = whyNoArm64();
/** An emulated processor on a busy machine: no test here says how fast anything is. */
const PATIENCE_MS = 600_000;

/**
 * The simulated bench, on which nothing is cut but what a test cuts. Where the machine is busy most readings come late there, so a
 * few good ones have to do for a stamp.
 */
const BENCH = {
  ...DEMO_CONFIG,
  runs: { min_good_share: 0.01 },
  sources: [{ ...DEMO_SOURCE, cutting: "never", faults: [] }],
};
const RUNS = 20;
/** Four units in the last place. */
const LAST_BITS = 4 * Number.EPSILON;

beforeAll(buildIfMissing);

function numbersIn(printed: string): Map<string, number[]> {
  const rows = printed
    .trim()
    .split("\n")
    .map((row) => row.split("\t"));
  return new Map(
    rows.map(([name = "", values = ""]) => [
      name,
      values.split(" ").map((hex) => Buffer.from(hex, "hex").readDoubleBE()),
    ]),
  );
}

/** By which part of the first the second differs; infinite where one of them is no number. */
function apart(a: number, b: number): number {
  if (Object.is(a, b)) return 0;
  const part = Math.abs(a - b) / Math.abs(a);
  return Number.isNaN(part) ? Number.POSITIVE_INFINITY : part;
}

async function verifiedOn(machine: Machine, journal: string): Promise<{ runs: number; agree: number }> {
  const report = JSON.parse(
    await mustRunOn(machine, STATION_COMMAND, "verify", "--journal", journal, "--json"),
  );
  expect(report, machine.name).toMatchObject({ ok: true, doubtful: [] });
  return report;
}

/** All that is read out of a journal, as text in which every number has all its digits. */
async function readOn(machine: Machine, journal: string) {
  const read = (what: string, format: string) =>
    mustRunOn(machine, STATION_COMMAND, "export", "--journal", journal, "--what", what, "--format", format);
  return {
    readings: await read("readings", "csv"),
    runs: await read("runs", "jsonl"),
    alarms: await read("alarms", "jsonl"),
  };
}

describe.skipIf(why !== "")(`as on a Pi with the 64-bit system${why}`, () => {
  it("has the packages that the lock file names", () => {
    const lock = "package-lock.json";
    const there = readFileSync(join(ARM64_FOLDER, "modules", lock), "utf8");
    expect(there === readFileSync(lock, "utf8"), "they are others: bash .setup/arm64").toBe(true);
  });

  it("loads every compiled package, and each does there what it does here", async () => {
    const script = "tests/faults/arm64/native.mjs";
    const here = JSON.parse(await mustRunOn(HERE, script));
    const there = JSON.parse(await mustRunOn(ON_ARM64, script));
    expect(there).toMatchObject({
      arch: "arm64",
      endianness: "LE",
      sqlite: { same: true },
      serialPorts: true,
      epoll: "edge",
      argon2: [true, false],
      picture: { width: 64, height: 48 },
    });
    expect({ ...there, arch: here.arch }).toEqual(here);
  });

  it("runs the station: readings, a run with its stamp, an end and another start, with a journal that is whole", async () => {
    const { folder, remove } = temporaryFolder();
    const started: StationProcess[] = [];
    const start = async () => {
      const station = await startStation(folder, BENCH, { through: THROUGH, node: "node" });
      started.push(station);
      return station;
    };
    try {
      const first = await start();
      await eventually(
        async () => {
          const { channels } = await first.get<NowSnapshot>("/api/now");
          return channels.length > 0 && channels.every(({ quality }) => quality === "good");
        },
        "good readings of every channel",
        PATIENCE_MS,
      );
      const { status, body } = await first.send("POST", "/api/runs", {
        settings: { material: "birch 3 mm" },
      });
      // A journal that has not answered within two seconds is no fault of the processor's.
      expect([201, 202], JSON.stringify(body)).toContain(status);
      const { id, startWall } = body as Run;
      await eventually(
        async () => (await first.get<NowSnapshot>("/api/now")).wall - startWall > 20_000,
        "a run of some seconds",
        PATIENCE_MS,
      );
      expect([200, 202]).toContain((await first.send("POST", `/api/runs/${id}/end`)).status);
      expect(await first.stop(), first.output()).toBe(0);

      const second = await start();
      const { settings, stamp } = await second.get<Run>(`/api/runs/${id}`);
      expect(settings.material).toBe("birch 3 mm");
      for (const channel of ["coolant-in", "room-t", "room-rh"]) {
        expect(stamp?.channels[channel], channel).toMatchObject({ known: true, mean: expect.any(Number) });
      }
      expect(stamp?.conditions["dew-point"]).toMatchObject({ known: true });
      expect(await second.stop(), second.output()).toBe(0);
      for (const machine of [ON_ARM64, HERE]) {
        expect(await verifiedOn(machine, join(folder, "journal"))).toMatchObject({ runs: 1, agree: 1 });
      }
    } finally {
      await Promise.all(started.map((station) => station.kill()));
      remove();
    }
  });

  it("reckons to the last bit as here where the language leaves no choice, and as near as that elsewhere", async () => {
    const script = "tests/faults/arm64/numbers.mjs";
    const [here, there] = [await mustRunOn(HERE, script), await mustRunOn(ON_ARM64, script)].map(numbersIn);
    expect([...(there?.keys() ?? [])]).toEqual([...(here?.keys() ?? [])]);
    const others: Record<string, number> = {};
    for (const [name, values] of here ?? []) {
      const away = values.map((value, i) => apart(value, there?.get(name)?.[i] ?? Number.NaN));
      others[name] = away.filter((part) => part > 0).length / values.length;
      const most = name.startsWith("exactly") ? 0 : LAST_BITS;
      expect(Math.max(...away), name).toBeLessThanOrEqual(most);
    }
    process.stdout.write(`share of results with other last bits: ${JSON.stringify(others)}\n`);
  });

  it("reads a journal from here, and is read here, to the last bit; the same readings give the same stamps", async () => {
    const { folder, remove } = temporaryFolder();
    try {
      const told = [];
      for (const writer of [HERE, ON_ARM64]) {
        const journal = join(folder, `by-${writer.name}`);
        mkdirSync(journal);
        const [seed, start, boot, from] = ["20261127", "start-0", "boot-0", "1000"];
        await mustRunOn(writer, "tests/faults/writing.mjs", journal, seed, start, boot, from, String(RUNS));
        const [here, there] = [await readOn(HERE, journal), await readOn(ON_ARM64, journal)];
        for (const part of ["readings", "runs", "alarms"] as const) {
          expect(there[part] === here[part], `${part} by ${writer.name} are read as others`).toBe(true);
        }
        for (const reader of [HERE, ON_ARM64]) {
          expect(await verifiedOn(reader, journal)).toMatchObject({ runs: RUNS, agree: RUNS });
        }
        told.push({ ...here, runs: here.runs.replace(/"id":"[-0-9a-f]{36}"/g, "") });
      }
      const [here, there] = told;
      expect(here?.readings.split("\n").length).toBeGreaterThan(RUNS * 20);
      expect(there?.readings === here?.readings, "the readings are others").toBe(true);
      expect(there?.runs).toBe(here?.runs);
    } finally {
      remove();
    }
  });
});
