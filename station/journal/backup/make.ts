import { existsSync, readdirSync, rmSync, statSync } from "node:fs";
import { join } from "node:path";
import { AppError } from "../../errors.js";
import type { Backup } from "../../model/backup.js";
import { passingTrouble } from "../trouble.js";
import { type Contents, copyJournal } from "./copy.js";
import { isToCome } from "./due.js";
import { backupName, isLeftOver, notThere, wallOfName } from "./folder.js";
import { generationsOf, type Keep } from "./generations.js";

export interface BackupRequest {
  /** Of the journal. */
  readonly journal: string;
  /** Where to; must be there. */
  readonly to: string;
  /** The moment it is named after, whole seconds. */
  readonly wall: number;
  /** Null: no older one is taken away. */
  readonly keep: Keep | null;
  /** What is left of the journal's own disk for the journal; default `RESERVE_BYTES`. */
  readonly reserveBytes?: number;
}

export interface BackupMade extends Backup {
  readonly contents: Contents;
  /** Files of older backups that were taken away by the rule. */
  readonly removed: readonly string[];
}

/**
 * Makes a backup, checks it, and only then takes away older ones that the rule does not keep; none where the journal is
 * damaged, and the backup with it. Blocks for as long as the disk takes, so the station calls it on a thread of its own.
 * @throws AppError "backup-failed"; as `openForReading` where the journal itself cannot be opened
 */
export function makeBackup({ journal, to, wall, keep, reserveBytes }: BackupRequest): BackupMade {
  if (!existsSync(to)) throw notThere(to);
  const file = join(to, backupName(wall));
  try {
    const contents = copyJournal(journal, file, reserveBytes);
    return {
      file,
      wall: wallOfName(backupName(wall)) ?? wall,
      bytes: statSync(file).size,
      contents,
      // An older one may be the last that has what is damaged in this one.
      removed: keep === null || contents.damaged.length > 0 ? [] : takeAway(to, keep, wall, file),
    };
  } catch (error) {
    if (error instanceof AppError) throw error;
    const words = passingTrouble(error) ?? (error instanceof Error ? error.message : String(error));
    throw new AppError("backup-failed", `${to}: ${words}.`);
  }
}

/** Nobody is at work any more on a copy that was begun so long ago. */
const LONGEST_COPY_MS = 86_400_000;

/** Never the one just made, nor one of a time to come: the clock was wrong at one of the two, and nothing says at which. */
function takeAway(folder: string, keep: Keep, now: number, made: string): string[] {
  const names = readdirSync(folder);
  for (const name of names) if (isLeftOver(name, now - LONGEST_COPY_MS)) rmSync(join(folder, name));
  const backups = names.flatMap((name) => {
    const wall = wallOfName(name);
    return wall === null || isToCome(wall, now) ? [] : [{ file: join(folder, name), wall }];
  });
  const kept = generationsOf(
    backups.map(({ wall }) => wall),
    keep,
  );
  const old = backups.filter(({ file, wall }) => file !== made && !kept.has(wall)).map(({ file }) => file);
  for (const file of old) rmSync(file);
  return old;
}
