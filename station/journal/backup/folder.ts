import { readdir, stat } from "node:fs/promises";
import { join } from "node:path";
import { AppError } from "../../errors.js";
import type { Backup } from "../../model/backup.js";

const NAME = /^journal-(\d{4})-(\d\d)-(\d\d)T(\d\d)(\d\d)(\d\d)Z\.sqlite$/;

/** Behind the name of what is not a backup yet. */
export const PARTIAL = ".partial";

/** A drive that is not mounted must not be mistaken for a folder: none is ever made. */
export function notThere(folder: string): AppError {
  return new AppError("backup-failed", `${folder} is not there: is the drive mounted? Make the folder once.`);
}

/** The name a backup made at this moment has: its time in UTC, so that names sort as times do. */
export function backupName(wall: number): string {
  const iso = new Date(wall).toISOString();
  return `journal-${iso.slice(0, 19).replaceAll(":", "")}Z.sqlite`;
}

/** When a backup of this name was made, to the second; null for a file that is no backup. */
export function wallOfName(name: string): number | null {
  const found = NAME.exec(name);
  if (found === null) return null;
  const [, year, month, day, hours, minutes, seconds] = found;
  const wall = Date.parse(`${year}-${month}-${day}T${hours}:${minutes}:${seconds}Z`);
  return Number.isNaN(wall) ? null : wall;
}

/** Whether a file is what was left of a backup that was broken off, begun before `wall`. */
export function isLeftOver(name: string, wall: number): boolean {
  const begun = name.endsWith(PARTIAL) ? wallOfName(name.slice(0, -PARTIAL.length)) : null;
  return begun !== null && begun < wall;
}

/**
 * The backups in a folder, newest first; other files are passed over.
 * @throws AppError "backup-failed" where the folder is not there or cannot be read
 */
export async function backupsIn(folder: string): Promise<Backup[]> {
  const backups: Backup[] = [];
  const names = await readdir(folder).catch((error: NodeJS.ErrnoException) => {
    throw error.code === "ENOENT" ? notThere(folder) : new AppError("backup-failed", error.message);
  });
  for (const name of names) {
    const wall = wallOfName(name);
    if (wall === null) continue;
    const file = join(folder, name);
    backups.push({ file, wall, bytes: (await stat(file)).size });
  }
  return backups.sort((a, b) => b.wall - a.wall);
}
