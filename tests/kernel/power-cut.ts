import { spawnSync } from "node:child_process";
import { cpSync, mkdirSync, readFileSync, rmSync, statSync, truncateSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { type Answer, freshFigures, type KillFigures, look } from "../faults/kills.js";
import { seeded } from "../unit/conditions/coolant-scenes.js";
import { BOOT_LIMIT_MS, Guest } from "./guest.js";
import { cutDisk, entriesIn, loggedDisk } from "./write-log.js";

const DISK_BYTES = 256 * 2 ** 20;
/** Sparse: only what is written takes room. */
const LOG_BYTES = 4 * 2 ** 30;
const TOLD = "told";
const WRITER = "writer";
const START = "start-0";
const BOOT = "boot-0";

/** What stood at one moment: so much had been answered for by then, and so much had been written. */
interface Moment {
  /** Bytes of what the writer has said. */
  readonly told: number;
  /** Entries of the disk's log, counted after that: what was said before is in them. */
  readonly entries: number;
}

export interface Writing {
  readonly folder: string;
  /** The disk as it was before. */
  readonly base: string;
  readonly log: string;
  readonly told: Buffer;
  readonly moments: readonly Moment[];
}

export interface WritingOptions {
  readonly seed: number;
  /** The plug is pulled after so many answers. */
  readonly answers: number;
}

function run(program: string, args: readonly string[]): number {
  const { status, error, stderr } = spawnSync(program, args, { encoding: "utf8" });
  if (error !== undefined) throw error;
  if (status === null || status > 1) throw new Error(`${program} ended with ${status}: ${stderr}`);
  return status;
}

/**
 * The journal is written in a guest, on ext4, as `tests/faults/writing.mjs` does it, until the plug is pulled. What the disk was
 * told is logged, and what the journal answers for goes out through a port of the machine as it is said.
 */
export async function writeInGuest(folder: string, { seed, answers }: WritingOptions): Promise<Writing> {
  const [image, base, log, told] = ["disk", "base", "log", TOLD].map((name) => join(folder, name)) as [
    ...[string, string, string, string],
  ];
  for (const [file, bytes] of [
    [image, DISK_BYTES],
    [log, LOG_BYTES],
    [told, 0],
  ] as const) {
    writeFileSync(file, "");
    truncateSync(file, bytes);
  }
  run("mkfs.ext4", ["-q", "-F", image]);
  run("cp", ["--sparse=always", image, base]);
  const guest = await Guest.boot({ qemu: () => loggedDisk(image, log), ports: { [TOLD]: told } });
  try {
    await guest.mustRun("mount -t ext4 /dev/vda /data && mkdir /data/journal");
    const command = ["node", "/project/tests/faults/writing.mjs", "/data/journal", String(seed), START, BOOT];
    await guest.start(WRITER, [...command, "1000"], { toPort: TOLD });
    const moments = await watch(guest, told, log, answers);
    await guest.kill();
    return { folder, base, log, told: readFileSync(told), moments };
  } finally {
    await guest.remove();
  }
}

async function watch(guest: Guest, told: string, log: string, answers: number): Promise<readonly Moment[]> {
  const moments: Moment[] = [];
  const limit = performance.now() + BOOT_LIMIT_MS;
  for (let count = 0; count < answers; await pause(10)) {
    const now = { told: statSync(told).size, entries: entriesIn(log) };
    const last = moments.at(-1);
    if (last !== undefined && now.entries === last.entries && now.told === last.told) {
      if (performance.now() > limit) {
        throw new Error(`too little was written in the guest:\n${(await guest.program(WRITER)).output}`);
      }
      continue;
    }
    moments.push(now);
    count = readFileSync(told, "utf8").split("\n").length - 1;
  }
  const { output, ended } = await guest.program(WRITER);
  if (ended !== null) throw new Error(`the writer ended by itself:\n${output}`);
  return moments;
}

/** The same on a disk that says too early that it has written: the last `entries` of its log had not come to it. */
export function onLyingDisk(writing: Writing, entries: number): Writing {
  const late = ({ told, entries: all }: Moment) => ({ told, entries: Math.max(0, all - entries) });
  return { ...writing, moments: writing.moments.map(late) };
}

function answersIn(told: Buffer): Answer[] {
  const text = told.toString();
  const rows = text.slice(0, text.lastIndexOf("\n") + 1).split("\n");
  return rows.filter((row) => row !== "").map((row) => JSON.parse(row) as Answer);
}

export interface PowerCutFigures extends KillFigures {
  sectorsKept: number;
  sectorsLost: number;
}

/**
 * Cuts the power at moments drawn by lot out of one writing, and looks each time for all that had been answered for by then.
 * The file system's own journal is replayed by e2fsck, and the first time, where `boot` says so, by a kernel that mounts the disk.
 * @throws the failed expectation, where something is lost or damaged
 */
export async function cutMany(
  writing: Writing,
  cuts: number,
  { seed, boot }: { readonly seed: number; readonly boot: boolean },
): Promise<PowerCutFigures> {
  const random = seeded(seed);
  const figures = { ...freshFigures(), sectorsKept: 0, sectorsLost: 0 };
  const { folder, base, log, told, moments } = writing;
  for (; figures.kills < cuts; figures.kills++) {
    const moment = moments[Math.floor(random() * moments.length)] as Moment;
    const result = join(folder, "cut");
    const { kept, lost } = cutDisk({ base, log, result }, moment.entries, random);
    figures.sectorsKept += kept;
    figures.sectorsLost += lost;
    const journal = join(folder, `journal-${figures.kills}`);
    if (boot && figures.kills === 0) await mountInGuest(result, journal);
    else replay(result, journal);
    const answers = answersIn(told.subarray(0, moment.told));
    if (answers.length === 0) figures.early++;
    await look(journal, [{ start: START, bootId: BOOT, answers }], figures);
    rmSync(journal, { recursive: true });
  }
  return figures;
}

/** The kernel replays its journal of the file system when it mounts it, as at the next start of a machine. */
async function mountInGuest(image: string, to: string): Promise<void> {
  const guest = await Guest.boot({
    qemu: () => [
      "-drive",
      `file=${image},format=raw,if=none,id=disk`,
      "-device",
      "virtio-blk-pci,drive=disk",
    ],
  });
  try {
    await guest.mustRun("mount -t ext4 /dev/vda /data && mkdir /out/journal");
    await guest.mustRun("cp /data/journal/*.sqlite* /out/journal/ && rm -f /out/journal/*-shm");
    cpSync(join(guest.out, "journal"), to, { recursive: true });
  } finally {
    await guest.remove();
  }
}

/** As the system's check before the mount does it: `-p` puts right what is safe to put right, and gives up on anything else. */
function replay(image: string, to: string): void {
  run("e2fsck", ["-f", "-p", image]);
  mkdirSync(`${to}-all`);
  run("debugfs", ["-R", `rdump /journal ${to}-all`, image]);
  mkdirSync(to, { recursive: true });
  cpSync(join(`${to}-all`, "journal"), to, { recursive: true, filter: (file) => !file.endsWith("-shm") });
  rmSync(`${to}-all`, { recursive: true });
}
