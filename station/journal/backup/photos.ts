import { dirname } from "node:path";
import Database from "better-sqlite3";
import { AppError } from "../../errors.js";
import { bytesToCopy, copyPhotos, type PhotosCopied } from "../../trials/photos/copies.js";
import { photoFolder } from "../../trials/photos/names.js";
import { requireRoom } from "../disk/fit.js";
import { RESERVE_BYTES } from "../disk/room.js";
import { PHOTO_SUMS } from "../trials/photo-sums.js";
import { type BackupMade, type BackupRequest, makeBackup } from "./make.js";

export interface WholeBackup extends BackupMade {
  readonly photos: PhotosCopied;
}

/**
 * A backup with the photos that it speaks of: those lie in one folder beside all backups, where each is once, and stay when an
 * older backup goes. @throws as `makeBackup`; AppError "backup-failed" where photos could not be copied
 */
export async function makeWholeBackup(request: BackupRequest): Promise<WholeBackup> {
  const made = makeBackup(request);
  const { journal, to, reserveBytes = RESERVE_BYTES } = request;
  try {
    const hashes = photosOf(made.file);
    const copying = { from: photoFolder(journal), to: photoFolder(to), hashes, knownBy: "size" } as const;
    const bytes = await bytesToCopy(copying);
    if (bytes > 0)
      requireRoom({ code: "backup-failed", what: "the photos", bytes, to, journal, reserveBytes });
    return { ...made, photos: await copyPhotos(copying) };
  } catch (error) {
    const words = error instanceof Error ? error.message : String(error);
    throw new AppError("backup-failed", `${made.file} was made, but not all photos were copied: ${words}.`);
  }
}

/** Brings back the photos that a backup speaks of, as far as they lie beside it. @throws what the disk said */
export function restorePhotos(backup: string, folder: string): Promise<PhotosCopied> {
  return copyPhotos({
    from: photoFolder(dirname(backup)),
    to: photoFolder(folder),
    hashes: photosOf(backup),
    knownBy: "content",
  });
}

/** What became of the photos that a person has to know; null where all are there. */
export function photosWords({ missing, damaged }: PhotosCopied): string | null {
  const parts = [
    ...(missing.length === 0 ? [] : [`${counted(missing.length)} missing`]),
    ...(damaged.length === 0 ? [] : [`${counted(damaged.length)} damaged`]),
  ];
  return parts.length === 0 ? null : parts.join(", ");
}

function counted(n: number): string {
  return n === 1 ? "1 photo is" : `${n} photos are`;
}

/** The hashes of the photos that a journal has a row for; none for one from before there were photos. */
export function photosOf(file: string): string[] {
  const db = new Database(file, { readonly: true, fileMustExist: true });
  try {
    const there = db.prepare("SELECT 1 FROM sqlite_schema WHERE name = 'trial_entry'").get() !== undefined;
    if (!there) return [];
    return db.prepare<[], string>(PHOTO_SUMS).pluck().all();
  } finally {
    db.close();
  }
}
