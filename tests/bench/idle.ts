import { spawn } from "node:child_process";
import { once } from "node:events";
import { readFileSync } from "node:fs";
import { availableParallelism } from "node:os";
import { BENCH_POINTS } from "../../station/sources/bench-simulator/points.js";
import { startStation, temporaryFolder } from "../service/station-process.js";
import { startEnvironment } from "./as-npm-runs.js";
import type { BenchResult } from "./result.js";

const SETTLE_MS = 8_000;
const MEASURE_MS = 30_000;
/** By then everything has been done once that a station does by itself: the look through its journal, and the one at the filter. */
const AT_REST_MS = 75_000;
/** USER_HZ of Linux on every architecture that Debian and Raspberry Pi OS run on (proc(5)). */
const TICKS_PER_S = 100;
/** Twelve channels at 1 s with nothing cut and no page open: CPU as a share of one core, and resident memory. */
export async function benchIdle(): Promise<BenchResult[]> {
  const { folder, remove } = temporaryFolder();
  const twelfth = {
    id: "coolant-in-2",
    kind: "coolant-inlet",
    source: "bench",
    point: "coolant-inlet",
    expected_every_s: 1,
  };
  const config = {
    coolant_range: { low: 15, high: 22 },
    sources: [{ id: "bench", driver: "bench-simulator", every_s: 1, cutting: "never" }],
    channels: [
      ...BENCH_POINTS.map((kind) => ({ id: kind, kind, source: "bench", point: kind, expected_every_s: 1 })),
      twelfth,
    ],
  };
  const bare = spawn(process.execPath, ["-e", "setInterval(() => {}, 1000)"], { stdio: "ignore" });
  const station = await startStation(folder, config, { env: startEnvironment() });
  const started = performance.now();
  try {
    await pause(SETTLE_MS);
    const pid = station.child.pid ?? 0;
    const before = cpuSeconds(pid);
    const since = performance.now();
    await pause(MEASURE_MS);
    const share = (cpuSeconds(pid) - before) / ((performance.now() - since) / 1000);
    await pause(started + AT_REST_MS - performance.now());
    const resident = residentMb(pid);
    const core = { baseline: 1, against: "one core", unit: "of a core", bound: { atMost: 0.02 } } as const;
    const idle = `idle, 12 channels at 1 s, on one of ${availableParallelism()} cores`;
    return [
      { name: `${idle}: CPU`, value: share, ...core },
      {
        name: `${idle}: resident memory`,
        value: resident,
        baseline: 120,
        against: "the budget of 120 MB",
        unit: "MB",
        bound: { atMost: 1 },
      },
      {
        name: `${idle}: resident memory`,
        value: resident,
        baseline: residentMb(bare.pid ?? 0),
        against: "an empty Node process",
        unit: "MB",
        bound: null,
      },
    ];
  } finally {
    await station.stop();
    bare.kill();
    await once(bare, "exit");
    remove();
  }
}

function pause(ms: number): Promise<void> {
  return new Promise((done) => setTimeout(done, ms));
}

function cpuSeconds(pid: number): number {
  // The name of the program, in brackets, may hold spaces: the fields are counted from behind it.
  const fields = readFileSync(`/proc/${pid}/stat`, "utf8")
    .replace(/^.*\) /s, "")
    .split(" ");
  return (Number(fields[11]) + Number(fields[12])) / TICKS_PER_S;
}

function residentMb(pid: number): number {
  const kb = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))?.[1];
  return Number(kb) / 1000;
}
