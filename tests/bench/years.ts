import { type ChildProcess, spawn } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { setTimeout } from "node:timers/promises";
import { openJournal } from "../../station/journal/journal.js";
import { openReader } from "../../station/journal/reader.js";
import { startStation } from "../service/station-process.js";
import { asNpmRuns, startEnvironment } from "./as-npm-runs.js";
import { type BenchResult, quantile } from "./result.js";
import { BEGIN, seededSpan } from "./sealed-span.js";

const OPENINGS = 20;
const OPENING_BUDGET_MS = 300;
const MEMORY_BUDGET_MB = 150;
const LOOK_EVERY_MS = 50;

/**
 * What a journal of years asks for: opening one of ten years of three channels (at 5 min: as many blocks, groups and rollups as
 * at 1 s), and the memory of a full export of 30 days at 1 s (7.8 million readings; a piece at a time, so that a year takes
 * longer and no more room).
 */
export async function benchYears(): Promise<BenchResult[]> {
  const opening = await over({ days: 3653, everyMs: 300_000 }, openings);
  const memory = await over({ days: 30, everyMs: 1000 }, exporting);
  return [...opening, ...memory];
}

async function over(
  { days, everyMs }: { days: number; everyMs: number },
  measure: (folder: string) => Promise<BenchResult[]>,
): Promise<BenchResult[]> {
  const made = mkdtempSync(join(tmpdir(), "journal-years-"));
  try {
    const folder = join(made, "journal");
    const span = seededSpan({ days, everyMs, jitterMs: 0 });
    try {
      span.db.pragma("wal_checkpoint(TRUNCATE)");
      cpSync(dirname(span.db.name), folder, { recursive: true });
    } finally {
      span.remove();
    }
    return await measure(folder);
  } finally {
    rmSync(made, { recursive: true, force: true });
  }
}

/** From the call until the journal takes readings and the reader has answered where it begins and ends. */
async function openings(folder: string): Promise<BenchResult[]> {
  const took: number[] = [];
  for (let i = 0; i < OPENINGS; i++) {
    const at = { wall: BEGIN + 4000 * 86_400_000, mono: 0 };
    const session = { at, bootId: `open-${i}`, clock: "synchronised", version: "0" } as const;
    const since = performance.now();
    const journal = openJournal({
      folder,
      session: { ...session, start: `open-${i}`, simulated: true, configHash: "" },
    });
    // Both at once, as the station does.
    const reader = openReader({ folder });
    await journal.ready;
    await reader.span();
    took.push(performance.now() - since);
    await reader.close();
    await journal.close();
  }
  const against = {
    ...{ baseline: OPENING_BUDGET_MS, against: `the budget of ${OPENING_BUDGET_MS} ms`, unit: "ms" },
  } as const;
  const opened = "a journal of ten years opened, to the first answer";
  return [
    {
      ...against,
      name: `${opened}, median of ${OPENINGS}`,
      value: quantile(took, 0.5),
      bound: { atMost: 1 },
    },
    // The first reads the file from the disk, and has the program compiled.
    { ...against, name: `${opened}, the longest`, value: Math.max(...took), bound: null },
  ];
}

async function exporting(journal: string): Promise<BenchResult[]> {
  const memory = (what: string, mb: number): BenchResult => ({
    name: `resident memory at most, while ${what}`,
    value: mb,
    baseline: MEMORY_BUDGET_MB,
    against: `the budget of ${MEMORY_BUDGET_MB} MB`,
    unit: "MB",
    bound: { atMost: 1 },
  });
  const { env, args } = asNpmRuns("station");
  const all = [...args, "export", "--journal", journal];
  const command = spawn(process.execPath, all, {
    env: { ...process.env, ...env },
    stdio: ["ignore", "pipe", "ignore"],
  });
  const ofCommand = await peakOf(command, async () => {
    for await (const _ of command.stdout);
  });
  const station = await startStation(dirname(journal), null, { env: startEnvironment() });
  try {
    const sent = () =>
      peakOf(station.child, async () => {
        const answer = await fetch(`${station.url}/api/exports/readings.csv`);
        for await (const _ of answer.body ?? []);
      });
    // The first export goes beside the look that a station takes through its journal after every start.
    const beside = await sent();
    while ((await soundnessAt(station.url)) === "looking") await setTimeout(LOOK_EVERY_MS);
    const ofStation = await sent();
    return [
      memory("the command line exports 30 days at 1 s", ofCommand),
      memory("a running station sends them to a browser", ofStation),
      {
        ...memory("it does so as soon as it has started, and looks its journal through", beside),
        bound: null,
      },
    ];
  } finally {
    await station.stop();
  }
}

async function soundnessAt(url: string): Promise<string> {
  const answer = (await (await fetch(`${url}/api/journal`)).json()) as { soundness: { state: string } };
  return answer.soundness.state;
}

/** The most a process has of the memory while something goes on, MB: as the kernel counts it, from its latest look on. */
async function peakOf({ pid }: ChildProcess, work: () => Promise<void>): Promise<number> {
  let peak = 0;
  const looking = setInterval(() => {
    peak = Math.max(peak, residentMb(pid ?? 0));
  }, LOOK_EVERY_MS);
  await work();
  clearInterval(looking);
  return peak;
}

/** Nothing where the process has just ended. */
function residentMb(pid: number): number {
  try {
    const kb = /^VmRSS:\s+(\d+) kB/m.exec(readFileSync(`/proc/${pid}/status`, "utf8"))?.[1];
    return Number(kb ?? 0) / 1024;
  } catch {
    return 0;
  }
}
