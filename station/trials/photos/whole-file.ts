import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { mkdir, open, rename, rm, writeFile } from "node:fs/promises";
import { dirname, resolve } from "node:path";
import { PARTIAL } from "./names.js";

/**
 * Writes a file that is there as a whole or not at all, also where the plug is pulled: under another name first, onto the disk,
 * and only then by its own. Folders are made as needed. @throws what the disk said, having taken away what it began
 */
export async function writeWhole(
  file: string,
  bytes: Uint8Array | AsyncIterable<Uint8Array>,
  /** Looks at what was written before it gets its name, and throws where it must not. */
  check: () => void = () => {},
): Promise<void> {
  const folder = dirname(file);
  const partial = file + PARTIAL;
  await makeFolder(folder);
  try {
    const handle = await open(partial, "w");
    try {
      await writeFile(handle, bytes);
      await handle.sync();
    } finally {
      await handle.close();
    }
    check();
    await rename(partial, file);
  } catch (error) {
    await rm(partial, { force: true });
    throw error;
  }
  await folderToDisk(folder);
}

/** Makes a folder, and those above it, where there is none; it is on the disk then. @throws what the disk said */
export async function makeFolder(folder: string): Promise<void> {
  const first = await mkdir(folder, { recursive: true });
  if (first === undefined) return;
  // Each is a name in the one above.
  for (let made = resolve(folder); made !== dirname(resolve(first)); made = dirname(made)) {
    await folderToDisk(dirname(made));
  }
}

async function folderToDisk(folder: string): Promise<void> {
  const handle = await open(folder, "r");
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/** SHA-256 of a file's bytes, 64 hexadecimal digits; null where there is no such file. @throws what else the disk said */
export async function hashOfFile(file: string): Promise<string | null> {
  const hash = createHash("sha256");
  try {
    for await (const chunk of createReadStream(file)) hash.update(chunk as Buffer);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
  return hash.digest("hex");
}
