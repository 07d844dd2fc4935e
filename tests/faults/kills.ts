import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { expect } from "vitest";
import { openForWriting } from "../../station/journal/database.js";
import type { Maintenance, SettingChange } from "../../station/journal/protocol.js";
import { openReader } from "../../station/journal/reader.js";
import type { KeptSession } from "../../station/journal/reader-calls.js";
import { createReads, type Reads } from "../../station/journal/reads.js";
import type { AlarmTransition } from "../../station/model/alarm.js";
import type { Deed } from "../../station/model/deed.js";
import type { Instant } from "../../station/model/instant.js";
import type { Notice } from "../../station/model/notice.js";
import type { Run } from "../../station/model/run.js";
import { verifyJournal } from "../../station/verify.js";
import { seeded } from "../unit/conditions/coolant-scenes.js";
import { READER_URL } from "../unit/journal/built.js";
import { blocksOf, emptyFolder, foundIn } from "../unit/journal/samples.js";

const WRITING = fileURLToPath(new URL("writing.mjs", import.meta.url));
/** Kills of one journal before a new one is begun, so that each can be looked through from end to end every time. */
const KILLS_A_JOURNAL = 5;
/** One in so many is killed within so long after its start, which is before or while it opens the journal. */
const EARLY_ONE_IN = 5;
const EARLY_MS = 600;
/** The others after so many answers at most, and then a moment, which may be anywhere in what it is doing. */
const MOST_ANSWERS = 60;
const LONGEST_MOMENT_MS = 20;

/** What the journal has answered for, as `writing.mjs` says it. */
export interface Answer {
  /** Runs that earlier starts left open have been closed. */
  readonly takenUp?: boolean;
  readonly begun?: Run;
  readonly ended?: Run;
  readonly alarm?: AlarmTransition;
  readonly setting?: SettingChange;
  readonly maintenance?: Maintenance;
  readonly deed?: Deed;
  readonly notice?: Notice;
  /** So many readings of the counting channel, of this start. */
  readonly counted?: number;
}

interface Start {
  readonly start: string;
  readonly bootId: string;
  readonly answers: readonly Answer[];
}

export interface KillFigures {
  kills: number;
  /** Kills before the journal had answered anything. */
  early: number;
  /** Runs, alarms, settings and maintenance that were answered for and found. */
  answered: number;
  runsVerified: number;
  readings: number;
  sealedReadings: number;
}

/** Writes until it is killed, at a moment drawn by lot; returns every answer it gave. */
async function writeAndKill(args: readonly string[], random: () => number): Promise<Answer[]> {
  const child = spawn(process.execPath, [WRITING, ...args], { stdio: ["ignore", "pipe", "inherit"] });
  const answers: Answer[] = [];
  const lines = createInterface({ input: child.stdout });
  const early = random() < 1 / EARLY_ONE_IN;
  const killAt = early ? Number.POSITIVE_INFINITY : Math.ceil(random() * MOST_ANSWERS);
  const moment = random() * (early ? EARLY_MS : LONGEST_MOMENT_MS);
  const kill = () => setTimeout(() => child.kill("SIGKILL"), moment);
  if (early) kill();
  lines.on("line", (line) => {
    answers.push(JSON.parse(line) as Answer);
    if (answers.length === killAt) kill();
  });
  const [[code, signal]] = await Promise.all([once(child, "exit"), once(lines, "close")]);
  expect({ code, signal }).toEqual({ code: null, signal: "SIGKILL" });
  return answers;
}

export function freshFigures(): KillFigures {
  return { kills: 0, early: 0, answered: 0, runsVerified: 0, readings: 0, sealedReadings: 0 };
}

/** Kills writing processes at moments drawn by lot, and looks after each for all that was answered. */
export async function killMany(kills: number, seed: number): Promise<KillFigures> {
  const random = seeded(seed);
  const figures = freshFigures();
  while (figures.kills < kills) {
    const { folder: parent, remove } = emptyFolder();
    const folder = join(parent, "journal");
    mkdirSync(folder);
    const starts: Start[] = [];
    let boot = 0;
    let mono = 1000;
    for (let i = 0; i < KILLS_A_JOURNAL && figures.kills < kills; i++) {
      // The plug is pulled, or only the station fails and starts again within the same boot.
      if (random() < 0.5) {
        boot++;
        mono = 1000;
      }
      const [start, bootId] = [`start-${i}`, `boot-${boot}`];
      const args = [folder, String(Math.floor(random() * 2 ** 32)), start, bootId, String(mono)];
      const answers = await writeAndKill(args, random);
      starts.push({ start, bootId, answers });
      figures.kills++;
      if (answers.length === 0) figures.early++;
      mono = await look(folder, starts, figures);
    }
    remove();
  }
  return figures;
}

/** Returns the least monotonic time at which the next start of the same boot may begin. */
export async function look(folder: string, starts: readonly Start[], figures: KillFigures): Promise<number> {
  // As the next start does it.
  const db = openForWriting(folder, { busyTimeoutMs: 1000 });
  try {
    const reads = createReads(db);
    expect(reads.integrity(null)).toEqual([]);
    expect(db.pragma("foreign_key_check")).toEqual([]);
    expect(foundIn(db)).toEqual([]);
    const find = (table: string, column: string, key: string) =>
      db.prepare(`SELECT count(*) FROM ${table} WHERE ${column} = ?`).pluck().get(key);
    for (const each of starts) {
      const { answers } = each;
      for (const { begun, ended, alarm, setting, maintenance, deed, notice } of answers) {
        const run = ended ?? begun;
        if (run !== undefined) {
          const kept = reads.run(run.id) as Run;
          if (ended === undefined) expect(kept).toMatchObject({ number: run.number, settings: run.settings });
          else expect(kept).toEqual({ placed: null, ...ended });
        }
        if (alarm !== undefined) {
          const { detail, wall, run: of } = alarm;
          const kept = db
            .prepare("SELECT detail, wall, run FROM alarm_transition WHERE id = ?")
            .get(alarm.id);
          expect(kept).toEqual({ detail, wall, run: of });
        }
        if (setting !== undefined) expect(find("setting_change", "by", setting.by as string)).toBe(1);
        if (maintenance !== undefined) expect(find("maintenance", "note", maintenance.note)).toBe(1);
        if (deed !== undefined) expect(find("deed", "subject", deed.subject)).toBe(1);
        if (notice !== undefined) expect(find("notice", "key", notice.key)).toBe(1);
      }
      // Each counts from 0 on: none is missing, none is twice, and none that was answered for is gone.
      const counts = countsOf(reads, each);
      expect(counts).toEqual(counts.map((_, i) => i));
      expect(counts.length).toBeGreaterThanOrEqual(Math.max(0, ...answers.map(({ counted = 0 }) => counted)));
    }
    const numbers = db.prepare("SELECT number FROM run ORDER BY number").pluck().all();
    expect(numbers).toEqual(numbers.map((_, i) => i + 1));
    const held = db.prepare<[], { rows: number; sealed: number }>(
      "SELECT (SELECT count(*) FROM reading) AS rows, (SELECT coalesce(sum(readings), 0) FROM block) AS sealed",
    );
    const { rows, sealed } = held.get() ?? { rows: 0, sealed: 0 };
    figures.readings = Math.max(figures.readings, rows + sealed);
    figures.sealedReadings = Math.max(figures.sealedReadings, sealed);
    const bootId = starts.at(-1)?.bootId ?? "";
    // What earlier starts broke off in was closed by one that said so.
    const takenUp = starts.findLast(({ answers }) => answers.some((answer) => answer.takenUp));
    const stillOpen = db.prepare<[string], number>(
      `SELECT count(*) FROM run JOIN session ON session.id = run.session
       WHERE end_wall IS NULL AND session.id < (SELECT id FROM session WHERE start = ?)`,
    );
    if (takenUp !== undefined) expect(stillOpen.pluck().get(takenUp.start)).toBe(0);
    await verifyStamps(folder, figures);
    figures.answered += (starts.at(-1)?.answers ?? []).length;
    // Within one boot the clock goes on; some time passes before the next start.
    const last = reads.lastReadingAt({ bootId }) as Instant | null;
    return (last?.mono ?? starts.length * 1000) + 1000;
  } finally {
    db.close();
  }
}

/** The values of the counting channel, of one start. */
function countsOf(reads: Reads, { start, bootId }: Start): (number | null)[] {
  const kept = (reads.sessions(null) as KeptSession[]).find((session) => session.start === start);
  if (kept === undefined) return [];
  const { session } = kept;
  const window = { bootId, session, fromMono: 0, toMono: Number.MAX_SAFE_INTEGER, channels: ["count"] };
  const readings = blocksOf(reads, window).flat();
  return readings.filter(({ quality }) => quality !== "bad").map(({ value }) => value);
}

async function verifyStamps(folder: string, figures: KillFigures): Promise<void> {
  const reader = await openReader({ folder, workerUrl: READER_URL });
  try {
    // Blocks and rollups have been looked at.
    const none = { count: 0, named: [] };
    const readings = async () => ({ blocks: 0, damaged: none, wrong: none, mended: none });
    const photos = async () => ({ missing: [], damaged: [], strays: [] });
    const report = await verifyJournal(reader, { journal: folder, repair: false, readings, photos });
    expect(report.doubtful).toEqual([]);
    figures.runsVerified += report.runs;
  } finally {
    await reader.close();
  }
}
