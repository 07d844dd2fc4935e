import { join } from "node:path";
import { AppError } from "../../errors.js";

/** A photo as it is kept, or its small copy for lists. */
export type PhotoSize = "full" | "small";

const SHA256 = /^[0-9a-f]{64}$/;
const FILE = /^([0-9a-f]{64})(\.small)?\.jpg$/;
const ENDINGS: Readonly<Record<PhotoSize, string>> = { full: ".jpg", small: ".small.jpg" };
export const PHOTO_SIZES: readonly PhotoSize[] = ["full", "small"];

/** Behind the name of what is not whole yet. */
export const PARTIAL = ".partial";
/** Where uploads wait until they are looked at, under the folder of the photos. */
export const INCOMING = "incoming";

/** Folder of the photos that belong to a journal, or to the backups in a folder. */
export function photoFolder(beside: string): string {
  return join(beside, "photos");
}

/** The first two digits name a folder, so that no folder grows to thousands of files. */
export function shelfOf(sha256: string): string {
  return sha256.slice(0, 2);
}

/**
 * The file of a photo. Nothing but a hash ever becomes part of a path.
 * @throws AppError "photo-unknown" for what is not a hash
 */
export function photoFile(folder: string, sha256: string, size: PhotoSize): string {
  if (!SHA256.test(sha256)) {
    throw new AppError("photo-unknown", "A photo is named by 64 hexadecimal digits in small letters.");
  }
  return join(folder, shelfOf(sha256), sha256 + ENDINGS[size]);
}

/** What a file's name says it is; null for a name that is not a photo's. */
export function photoOfName(name: string): { readonly sha256: string; readonly size: PhotoSize } | null {
  const found = FILE.exec(name);
  if (found === null) return null;
  return { sha256: found[1] as string, size: found[2] === undefined ? "full" : "small" };
}
