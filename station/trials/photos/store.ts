import { existsSync } from "node:fs";
import { stat, statfs } from "node:fs/promises";
import { AppError } from "../../errors.js";
import { roomFor } from "../../journal/disk/room.js";
import { bytesText } from "../../model/disk.js";
import type { AcceptedPhoto } from "./accept.js";
import { type PhotoSize, photoFile } from "./names.js";
import { hashOfFile, makeFolder, writeWhole } from "./whole-file.js";

/**
 * Puts a photo into the folder, where it is on the disk when this resolves: then a row may say that it is there. The same
 * picture is there once; one whose file is damaged gets a good one. On the journal's disk it leaves the journal room to go on.
 * @param reserveBytes what of the disk belongs to the journal
 * @throws AppError "photo-not-kept": nothing of it is there then, and it may be sent again later
 */
export async function keepPhoto(
  folder: string,
  { sha256, jpeg, thumbnail }: Pick<AcceptedPhoto, "sha256" | "jpeg" | "thumbnail">,
  reserveBytes: number,
): Promise<void> {
  const full = photoFile(folder, sha256, "full");
  const small = photoFile(folder, sha256, "small");
  try {
    await makeFolder(folder);
    const isThere = (await hashOfFile(full)) === sha256;
    if (isThere && existsSync(small)) return;
    await requireRoomFor(folder, jpeg.byteLength + thumbnail.byteLength, reserveBytes);
    // Last comes the file that makes it a photo: where there is one, its small copy is there too.
    await writeWhole(small, thumbnail);
    if (!isThere) await writeWhole(full, jpeg);
  } catch (error) {
    throw error instanceof AppError ? error : notKept(error);
  }
}

/**
 * A photo's file, to be sent, and its size.
 * @throws AppError "photo-unknown" for what is not a hash, or a photo that is not there
 */
export async function findPhoto(
  folder: string,
  sha256: string,
  size: PhotoSize,
): Promise<{ readonly file: string; readonly bytes: number }> {
  const file = photoFile(folder, sha256, size);
  try {
    return { file, bytes: (await stat(file)).size };
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ENOENT") throw error;
    throw new AppError(
      "photo-unknown",
      "The file of this photo is not there. Look with npm run station -- verify; a backup may have it.",
    );
  }
}

/** @param folder that is there @throws AppError "photo-not-kept"; what the disk said */
export async function requireRoomFor(folder: string, bytes: number, reserveBytes: number): Promise<void> {
  const { bavail, bsize } = await statfs(folder);
  const room = roomFor("dispensable", bavail * bsize, reserveBytes);
  if (bytes <= room) return;
  throw new AppError(
    "photo-not-kept",
    `There is no room for another photo: it takes up to ${bytesText(bytes)}, and the last of the disk is for readings and runs. ` +
      "Make room on the disk, and send the photo again.",
  );
}

const DISK_ERRORS: Readonly<Record<string, string>> = {
  ENOSPC: "the disk is full: make room on it",
  EDQUOT: "the disk is full: make room on it",
  EROFS: "the disk is read-only: it may be worn out, or be mounted so",
  EIO: "the disk answers with errors: the card may be worn out or loose",
  EACCES: "the photos' folder may not be written: look at its permissions",
  EPERM: "the photos' folder may not be written: look at its permissions",
  ENOTDIR: "the photos' folder cannot be made: part of its path is not a folder",
  EEXIST: "the photos' folder cannot be made: part of its path is not a folder",
};

/** What the disk said, in words for people. */
export function notKept(error: unknown): AppError {
  const { code, message } = error as NodeJS.ErrnoException;
  const why = DISK_ERRORS[code ?? ""] ?? message ?? String(error);
  return new AppError("photo-not-kept", `The photo was not kept, for ${why}. Then send it again.`);
}
