import { dirname } from "node:path";
import Database from "better-sqlite3";
import { AppError } from "../../errors.js";
import { bytesToCopy, copyPhotos, type PhotosCopied } from "../../trials/photos/copies.js";
import { photosIn } from "../../trials/photos/inventory.js";
import { photoFolder } from "../../trials/photos/names.js";
import { requireRoom } from "../disk/fit.js";
import { RESERVE_BYTES } from "../disk/room.js";
import { PHOTO_SUMS, PHOTOS_UNTOLD } from "../trials/photo-sums.js";
import { type BackupMade, type BackupRequest, makeBackup } from "./make.js";

export interface BackupPhotos extends PhotosCopied {
  /** Entries that do not say any more which photo they are of. Then every photo there is was copied. */
  readonly untold: number;
}

export interface WholeBackup extends BackupMade {
  readonly photos: BackupPhotos;
}

/**
 * A backup with the photos that it speaks of: those lie in one folder beside all backups, where each is once, and stay when an
 * older backup goes. @throws as `makeBackup`; AppError "backup-failed" where photos could not be copied
 */
export async function makeWholeBackup(request: BackupRequest): Promise<WholeBackup> {
  const made = makeBackup(request);
  const { journal, to, reserveBytes = RESERVE_BYTES } = request;
  try {
    const from = photoFolder(journal);
    const { hashes, untold } = await photosOf(made.file, from);
    const copying = { from, to: photoFolder(to), hashes, knownBy: "size" } as const;
    const bytes = await bytesToCopy(copying);
    if (bytes > 0)
      requireRoom({ code: "backup-failed", what: "the photos", bytes, to, journal, reserveBytes });
    return { ...made, photos: { ...(await copyPhotos(copying)), untold } };
  } catch (error) {
    const words = error instanceof Error ? error.message : String(error);
    throw new AppError("backup-failed", `${made.file} was made, but not all photos were copied: ${words}.`);
  }
}

/** Brings back the photos that a backup speaks of, as far as they lie beside it. @throws what the disk said */
export async function restorePhotos(backup: string, folder: string): Promise<BackupPhotos> {
  const from = photoFolder(dirname(backup));
  const { hashes, untold } = await photosOf(backup, from);
  const copied = await copyPhotos({ from, to: photoFolder(folder), hashes, knownBy: "content" });
  return { ...copied, untold };
}

/** What became of the photos that a person has to know; null where all are there. */
export function photosWords({
  missing,
  damaged,
  untold = 0,
}: Pick<BackupPhotos, "missing" | "damaged"> & Partial<Pick<BackupPhotos, "untold">>): string | null {
  const parts = [
    ...(missing.length === 0 ? [] : [`${counted(missing.length)} missing`]),
    ...(damaged.length === 0 ? [] : [`${counted(damaged.length)} damaged`]),
    ...(untold === 0 ? [] : [`${counted(untold)} named by a damaged entry, so that all photos were copied`]),
  ];
  return parts.length === 0 ? null : parts.join(", ");
}

function counted(n: number): string {
  return n === 1 ? "1 photo is" : `${n} photos are`;
}

/**
 * The hashes of the photos that a journal has a row for; none for one from before there were photos. Where a row does not say any
 * more which photo it is of, those of all photos that lie in the folder: one of them is its.
 * @param from the folder of the photos
 */
async function photosOf(
  file: string,
  from: string,
): Promise<{ readonly hashes: readonly string[]; readonly untold: number }> {
  const db = new Database(file, { readonly: true, fileMustExist: true });
  let sums: string[];
  let untold: number;
  try {
    const there = db.prepare("SELECT 1 FROM sqlite_schema WHERE name = 'trial_entry'").get() !== undefined;
    if (!there) return { hashes: [], untold: 0 };
    sums = db.prepare<[], string>(PHOTO_SUMS).pluck().all();
    untold = db.prepare<[], number>(PHOTOS_UNTOLD).pluck().get() as number;
  } finally {
    db.close();
  }
  if (untold === 0) return { hashes: sums, untold };
  return { hashes: [...new Set([...sums, ...(await photosIn(from))])], untold };
}
