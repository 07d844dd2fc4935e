import { AppError } from "../../errors.js";
import type { Log } from "../../log.js";
import type { BackupsState, BackupsView } from "../../model/backup.js";
import type { ClockState, Instant } from "../../model/instant.js";
import { startThread } from "../thread.js";
import type { BackupCalls } from "./backup-thread.js";
import { damageWords } from "./copy.js";
import { isDue, isToCome, lastTimeOfDay, nextTimeOfDay } from "./due.js";
import { backupsIn } from "./folder.js";
import { generationsOf, type Keep } from "./generations.js";
import type { BackupRequest } from "./make.js";
import { photosWords, type WholeBackup } from "./photos.js";

export interface BackupSettings {
  readonly folder: string;
  /** "HH:MM", local time. */
  readonly at: string;
  readonly keep: Keep;
}

export interface Backups {
  /** To be called now and then; begins a backup where one is due, and never waits for it. */
  tick(now: Instant): void;
  /**
   * Begins one at once, whether or not it is due, and does not wait for it.
   * @throws AppError "backup-not-set-up", "backup-running"
   */
  makeNow(now: Instant): void;
  /** @param now wall milliseconds */
  view(now: number): Promise<BackupsView>;
  state(): BackupsState;
  /** Whether one is being made, or looked for in a folder that takes its time. */
  busy(): boolean;
  /** Resolves once none is being made; none is begun any more. */
  close(): Promise<void>;
}

export interface BackupParts {
  /** Null: none are set up. */
  readonly settings: BackupSettings | null;
  /** Of the journal. */
  readonly journal: string;
  /** What a backup leaves of the journal's own disk for the journal, bytes. */
  readonly reserveBytes: number;
  readonly startedMono: number;
  readonly clock: () => ClockState;
  readonly log: Log;
  /** The compiled backup-thread.js; by default the one beside this module. */
  readonly threadUrl?: URL;
}

/** How often it is looked whether one is due. */
const LOOK_EVERY_MS = 60_000;
const OLDER_STAY =
  "Older backups are not deleted, for one may have it whole: look with npm run station -- verify.";

/** Backups on a schedule, for as long as the station runs. */
export function createBackups(parts: BackupParts): Backups {
  const { settings, journal, reserveBytes, startedMono, clock, log, threadUrl } = parts;
  let lookedMono = Number.NEGATIVE_INFINITY;
  let failedMono: number | null = null;
  let failure: string | null = null;
  let running: Promise<void> | null = null;
  let making = false;
  let closed = false;
  let looked = false;
  let lastGoodWall: number | null = null;
  /** Those made here of a journal that was damaged, and what was last found of that. */
  const damagedWalls = new Set<number>();
  let damage: string | null = null;
  const url = threadUrl ?? new URL("./backup-thread.js", import.meta.url);

  function failed(error: unknown): void {
    const words = error instanceof Error ? error.message : String(error);
    // What goes on being wrong is told of once.
    if (words !== failure) log("error", "a backup could not be made", { why: words });
    failure = words;
  }

  async function lookAndMake(wanted: BackupSettings, now: Instant): Promise<void> {
    const { folder, at } = wanted;
    let goodWalls: number[];
    try {
      goodWalls = (await backupsIn(folder)).map(({ wall }) => wall);
      lastGoodWall = lastGoodOf(goodWalls);
      if (failedMono === null) failure = null;
    } catch (error) {
      // A drive that is mounted again is found at the next look.
      lastGoodWall = null;
      failed(error);
      return;
    } finally {
      looked = true;
    }
    if (isDue({ ...now, clock: clock(), startedMono, goodWalls, failedMono, at })) await make(wanted, now);
  }

  function lastGoodOf(newestFirst: readonly number[]): number | null {
    return newestFirst.find((wall) => !damagedWalls.has(wall)) ?? null;
  }

  async function make({ folder, keep }: BackupSettings, now: Instant): Promise<void> {
    making = true;
    try {
      const request = { journal, to: folder, wall: now.wall, keep, reserveBytes };
      const { file, wall, bytes, removed, contents, photos } = await makeOnThread(url, request);
      failedMono = null;
      failure = null;
      const why = damageWords(contents);
      damage = why === null ? null : `${file} was made of a journal that is damaged. ${why}. ${OLDER_STAY}`;
      if (why === null) {
        lastGoodWall = wall;
        log("info", "a backup was made and checked", { file, bytes, removed: removed.length });
        const lost = photosWords(photos);
        if (lost !== null) damage = `${lost}: look with npm run station -- verify.`;
      } else {
        damagedWalls.add(wall);
        log("error", "a backup was made of a journal that is damaged", { file, bytes, why });
      }
    } catch (error) {
      failedMono = now.mono;
      failed(error);
    } finally {
      making = false;
    }
  }

  /** One thing after another. */
  function begin(work: () => Promise<void>): void {
    const begun = (running ?? Promise.resolve()).then(work).finally(() => {
      if (running === begun) running = null;
    });
    running = begun;
  }

  return {
    tick(now) {
      if (settings === null || closed || running !== null || now.mono - lookedMono < LOOK_EVERY_MS) return;
      lookedMono = now.mono;
      begin(() => lookAndMake(settings, now));
    },
    makeNow(now) {
      if (settings === null) {
        throw new AppError(
          "backup-not-set-up",
          "Put a backup section into station.yaml, and start the station again.",
        );
      }
      if (making || closed) {
        throw new AppError("backup-running", "A backup is being made already. Wait until it is done.");
      }
      making = true;
      begin(() => make(settings, now));
    },
    async view(now) {
      if (settings === null) {
        const none = { folder: null, at: null, nextWall: null, lastGoodWall: null, backups: [] };
        return { ...none, running: false, trouble: null };
      }
      const { folder, at, keep } = settings;
      const found = await backupsIn(folder).then(
        (backups) => ({ backups, trouble: failure ?? damage }),
        (error: Error) => ({ backups: [], trouble: error.message }),
      );
      const kept = generationsOf(
        found.backups.map(({ wall }) => wall).filter((wall) => !isToCome(wall, now)),
        keep,
      );
      const newest = found.backups[0]?.wall ?? null;
      const due = lastTimeOfDay(now, at);
      return {
        folder,
        at,
        nextWall: newest === null || newest < due ? due : nextTimeOfDay(now, at),
        lastGoodWall: lastGoodOf(found.backups.map(({ wall }) => wall)),
        backups: found.backups.map((backup) => ({ ...backup, generations: kept.get(backup.wall) ?? [] })),
        running: making,
        trouble: found.trouble,
      };
    },
    state: () => ({ looked, lastGoodWall, trouble: failure ?? damage }),
    busy: () => running !== null,
    async close() {
      closed = true;
      await running;
    },
  };
}

async function makeOnThread(url: URL, request: BackupRequest): Promise<WholeBackup> {
  const thread = startThread<BackupCalls>(url);
  try {
    return await thread.call("make", request);
  } finally {
    await thread.stop();
  }
}
