import type { Log } from "../../log.js";
import type { BackupsView } from "../../model/backup.js";
import type { Instant } from "../../model/instant.js";
import { startThread } from "../thread.js";
import type { BackupCalls } from "./backup-thread.js";
import { isDue } from "./due.js";
import { backupsIn } from "./folder.js";
import type { Keep } from "./generations.js";
import type { BackupMade, BackupRequest } from "./make.js";

export interface BackupSettings {
  readonly folder: string;
  /** "HH:MM", local time. */
  readonly at: string;
  readonly keep: Keep;
}

export interface Backups {
  /** To be called now and then; begins a backup where one is due, and never waits for it. */
  tick(now: Instant): void;
  view(): Promise<BackupsView>;
  /** Wall time of the last good one, as of the last look into the folder; null without any. */
  lastGoodWall(): number | null;
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
  readonly log: Log;
  /** The compiled backup-thread.js; by default the one beside this module. */
  readonly threadUrl?: URL;
}

/** How often it is looked whether one is due. */
const LOOK_EVERY_MS = 60_000;

/** Backups on a schedule, for as long as the station runs. */
export function createBackups({
  settings,
  journal,
  reserveBytes,
  startedMono,
  log,
  threadUrl,
}: BackupParts): Backups {
  let lookedMono = Number.NEGATIVE_INFINITY;
  let failedMono: number | null = null;
  let failure: string | null = null;
  let running: Promise<void> | null = null;
  let closed = false;
  let lastGoodWall: number | null = null;
  const url = threadUrl ?? new URL("./backup-thread.js", import.meta.url);

  function failed(error: unknown): void {
    const words = error instanceof Error ? error.message : String(error);
    // What goes on being wrong is told of once.
    if (words !== failure) log("error", "a backup could not be made", { why: words });
    failure = words;
  }

  async function look({ folder, at, keep }: BackupSettings, now: Instant): Promise<void> {
    try {
      lastGoodWall = (await backupsIn(folder))[0]?.wall ?? null;
      if (failedMono === null) failure = null;
      if (!isDue({ ...now, startedMono, lastGoodWall, failedMono, at })) return;
    } catch (error) {
      // A drive that is mounted again is found at the next look.
      failed(error);
      return;
    }
    try {
      const { file, wall, bytes, removed } = await makeOnThread(url, {
        journal,
        to: folder,
        wall: now.wall,
        keep,
        reserveBytes,
      });
      failedMono = null;
      failure = null;
      lastGoodWall = wall;
      log("info", "a backup was made and checked", { file, bytes, removed: removed.length });
    } catch (error) {
      failedMono = now.mono;
      failed(error);
    }
  }

  return {
    tick(now) {
      if (settings === null || closed || running !== null || now.mono - lookedMono < LOOK_EVERY_MS) return;
      lookedMono = now.mono;
      running = look(settings, now).finally(() => {
        running = null;
      });
    },
    async view() {
      if (settings === null) {
        return { folder: null, at: null, lastGoodWall: null, backups: [], running: false, trouble: null };
      }
      const { folder, at } = settings;
      const found = await backupsIn(folder).then(
        (backups) => ({ backups, trouble: failure }),
        (error: Error) => ({ backups: [], trouble: error.message }),
      );
      const newest = found.backups[0]?.wall ?? null;
      return { folder, at, lastGoodWall: newest, running: running !== null, ...found };
    },
    lastGoodWall: () => lastGoodWall,
    busy: () => running !== null,
    async close() {
      closed = true;
      await running;
    },
  };
}

async function makeOnThread(url: URL, request: BackupRequest): Promise<BackupMade> {
  const thread = startThread<BackupCalls>(url);
  try {
    return await thread.call("make", request);
  } finally {
    await thread.stop();
  }
}
