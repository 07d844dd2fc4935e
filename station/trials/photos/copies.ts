import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { stat } from "node:fs/promises";
import { PHOTO_SIZES, type PhotoSize, photoFile } from "./names.js";
import { hashOfFile, writeWhole } from "./whole-file.js";

export interface CopyingOfPhotos {
  /** Folders of photos, as `photoFolder` names them. */
  readonly from: string;
  readonly to: string;
  /** The photos that the journal has a row for. */
  readonly hashes: Iterable<string>;
  /**
   * How what is there already is known: by its size, which takes no reading, for backups that are made each night; or by
   * reading it, for putting a backup back, where a damaged photo gets the good one.
   */
  readonly knownBy: "size" | "content";
}

export interface PhotosCopied {
  /** Photos that were written, in whole or their small copy alone. */
  readonly copied: number;
  readonly bytes: number;
  /** Neither here nor there: their hashes. */
  readonly missing: readonly string[];
  /** Not what their name says, and so not copied: their hashes. */
  readonly damaged: readonly string[];
}

/** What copying would write, bytes. @throws what the disk said */
export async function bytesToCopy(copying: CopyingOfPhotos): Promise<number> {
  let bytes = 0;
  for (const sha256 of copying.hashes) {
    for (const size of PHOTO_SIZES) {
      const from = await bytesOf(photoFile(copying.from, sha256, size));
      if (from !== null && !(await isThere(copying, sha256, size, from))) bytes += from;
    }
  }
  return bytes;
}

/**
 * Brings photos from one folder to another, for a backup and back. Each is checked against its hash while it is copied, and
 * what is in the other folder is never taken away, nor written over where it is good. One that is damaged or gone is told of,
 * and does not stop the rest.
 * @throws what the disk said; what was copied before stays, and is not copied again
 */
export async function copyPhotos(copying: CopyingOfPhotos): Promise<PhotosCopied> {
  let copied = 0;
  let bytes = 0;
  const missing: string[] = [];
  const damaged: string[] = [];
  for (const sha256 of copying.hashes) {
    let wrote = 0;
    // As where it is kept first: where there is a photo, its small copy is there too.
    for (const size of ["small", "full"] as const) {
      const from = photoFile(copying.from, sha256, size);
      const length = await bytesOf(from);
      if (length === null) {
        if (size === "full" && (await bytesOf(photoFile(copying.to, sha256, size))) === null)
          missing.push(sha256);
        continue;
      }
      if (await isThere(copying, sha256, size, length)) continue;
      try {
        await copyOne(from, photoFile(copying.to, sha256, size), size === "full" ? sha256 : null);
        wrote += length;
      } catch (error) {
        if (!(error instanceof NotAsNamed)) throw error;
        damaged.push(sha256);
      }
    }
    if (wrote > 0) copied += 1;
    bytes += wrote;
  }
  return { copied, bytes, missing, damaged };
}

class NotAsNamed extends Error {}

/** @param sha256 null for a small copy, which has no hash of its own in its name */
async function copyOne(from: string, to: string, sha256: string | null): Promise<void> {
  const hash = createHash("sha256");
  async function* read(): AsyncGenerator<Buffer> {
    for await (const chunk of createReadStream(from)) {
      hash.update(chunk as Buffer);
      yield chunk as Buffer;
    }
  }
  await writeWhole(to, read(), () => {
    if (sha256 !== null && hash.digest("hex") !== sha256) throw new NotAsNamed();
  });
}

/** @param length of the file that would be copied, bytes */
async function isThere(
  { to, knownBy }: CopyingOfPhotos,
  sha256: string,
  size: PhotoSize,
  length: number,
): Promise<boolean> {
  const file = photoFile(to, sha256, size);
  if (knownBy === "content" && size === "full") return (await hashOfFile(file)) === sha256;
  return (await bytesOf(file)) === length;
}

/** Null where there is no such file. */
async function bytesOf(file: string): Promise<number | null> {
  try {
    return (await stat(file)).size;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
}
