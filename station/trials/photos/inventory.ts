import { type Dirent, existsSync } from "node:fs";
import { readdir, rm } from "node:fs/promises";
import { join } from "node:path";
import { INCOMING, PARTIAL, PHOTO_SIZES, photoFile, photoOfName, shelfOf } from "./names.js";
import { hashOfFile } from "./whole-file.js";

export interface Inventory {
  /** Photos that have a row and no file, or no small copy: their hashes. */
  readonly missing: readonly string[];
  /** Photos whose file does not hold what its name says: their hashes. */
  readonly damaged: readonly string[];
  /** Photos that have a file and no row: their hashes. The plug was pulled between the two; nothing is lost by it. */
  readonly strays: readonly string[];
  /** Other files in the folder, which are not the station's: their paths from there. */
  readonly others: readonly string[];
}

/**
 * Holds the files of a folder against the rows. A folder that is not there has no files. Reads every photo from end to end.
 * @param rows the hashes that the journal has a row for
 * @throws what the disk said
 */
export async function takeInventory(folder: string, rows: Iterable<string>): Promise<Inventory> {
  const wanted = new Set(rows);
  const { photos, others } = await filesIn(folder);
  const missing = [...wanted].filter((sha256) =>
    PHOTO_SIZES.some((size) => !existsSync(photoFile(folder, sha256, size))),
  );
  const damaged: string[] = [];
  for (const sha256 of wanted) {
    const found = await hashOfFile(photoFile(folder, sha256, "full"));
    if (found !== null && found !== sha256) damaged.push(sha256);
  }
  return { missing, damaged, strays: [...photos].filter((sha256) => !wanted.has(sha256)), others };
}

/**
 * Takes away what was left where the plug was pulled: uploads that were not looked at yet, which their sender still has, and
 * files that were not whole. Only while nothing else writes there. @throws what the disk said
 */
export async function clearLeftOvers(folder: string): Promise<void> {
  await rm(join(folder, INCOMING), { recursive: true, force: true });
  for (const file of (await filesIn(folder)).leftOvers) await rm(join(folder, file), { force: true });
}

/** The hashes of all photos in a folder, whether or not anything speaks of them. @throws what the disk said */
export async function photosIn(folder: string): Promise<ReadonlySet<string>> {
  return (await filesIn(folder)).photos;
}

async function filesIn(
  folder: string,
): Promise<{ photos: Set<string>; others: string[]; leftOvers: string[] }> {
  const found = { photos: new Set<string>(), others: [] as string[], leftOvers: [] as string[] };
  for (const shelf of await entriesOf(folder)) {
    if (shelf.name === INCOMING) continue;
    if (!shelf.isDirectory()) {
      found.others.push(shelf.name);
      continue;
    }
    for (const { name } of await entriesOf(join(folder, shelf.name))) {
      const path = join(shelf.name, name);
      const photo = photoOfName(name);
      const begun = name.endsWith(PARTIAL) ? photoOfName(name.slice(0, -PARTIAL.length)) : null;
      if (photo !== null && shelfOf(photo.sha256) === shelf.name) found.photos.add(photo.sha256);
      else if (begun !== null) found.leftOvers.push(path);
      else found.others.push(path);
    }
  }
  return found;
}

async function entriesOf(folder: string): Promise<Dirent[]> {
  try {
    return await readdir(folder, { withFileTypes: true });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return [];
    throw error;
  }
}
