import { stat, statfs } from "node:fs/promises";
import { join } from "node:path";
import type { DiskView } from "../../model/disk.js";
import { JOURNAL_FILE } from "../database.js";
import { bytesADay, type SizeSample, sampled } from "./growth.js";
import { judgeDisk, unknownDisk } from "./judge.js";

export interface DiskWatch {
  /** To be called now and then, with monotonic milliseconds; begins a look where one is due, and never waits for it. */
  tick(nowMono: number): void;
  view(): DiskView;
  /** Resolves when the look that is under way has come to its end. */
  settled(): Promise<void>;
}

export interface DiskWatchParts {
  /** Of the journal; need not be there yet. */
  readonly folder: string;
  readonly startedMono: number;
  /** By how much the journal is expected to grow in a day, bytes. */
  readonly expectedADay: number;
  readonly reserveBytes: number;
  readonly leastDays: number;
  /** Of the journal's folder; by default what the operating system says. */
  readonly look?: (folder: string) => Promise<Seen>;
}

export interface Seen {
  readonly freeBytes: number;
  readonly totalBytes: number;
  readonly journalBytes: number;
}

const LOOK_EVERY_MS = 5_000;
/** A look that takes longer is said, and waited for all the same: no second one is begun into a disk that hangs. */
const PATIENCE_MS = 15_000;

/** Looks at the room on the journal's disk by way of the operating system, which does it on a thread of its own. */
export function createDiskWatch(parts: DiskWatchParts): DiskWatch {
  const { folder, startedMono, expectedADay, reserveBytes, leastDays, look = lookAt } = parts;
  let view = unknownDisk(null);
  let samples: readonly SizeSample[] = [];
  let begunMono: number | null = null;
  let lookedMono = Number.NEGATIVE_INFINITY;
  let looking: Promise<void> = Promise.resolve();

  async function lookOnce(nowMono: number): Promise<void> {
    try {
      const seen = await look(folder);
      samples = sampled(samples, startedMono, { mono: nowMono, bytes: seen.journalBytes });
      view = judgeDisk({
        ...seen,
        bytesADay: bytesADay(samples, expectedADay),
        reserveBytes,
        leastDays,
        fewDays: view.fewDays,
      });
    } catch (error) {
      view = unknownDisk(error instanceof Error ? error.message : String(error));
    } finally {
      begunMono = null;
    }
  }

  return {
    tick(nowMono) {
      if (begunMono !== null) {
        if (nowMono - begunMono > PATIENCE_MS) view = unknownDisk("it does not answer");
        return;
      }
      if (nowMono - lookedMono < LOOK_EVERY_MS) return;
      lookedMono = nowMono;
      begunMono = nowMono;
      looking = lookOnce(nowMono);
    },
    view: () => view,
    settled: () => looking,
  };
}

async function lookAt(folder: string): Promise<Seen> {
  const [{ bavail, blocks, bsize }, ...sizes] = await Promise.all([
    statfs(folder),
    ...["", "-wal"].map((end) => sizeOf(join(folder, JOURNAL_FILE + end))),
  ]);
  return {
    freeBytes: bavail * bsize,
    totalBytes: blocks * bsize,
    journalBytes: sizes.reduce((sum, size) => sum + size, 0),
  };
}

/** 0 for a file that has not been made yet. */
async function sizeOf(file: string): Promise<number> {
  try {
    return (await stat(file)).size;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return 0;
    throw error;
  }
}
