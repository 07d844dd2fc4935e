import { constants } from "node:fs";
import { access, statfs } from "node:fs/promises";
import { dirname, join, resolve } from "node:path";
import type { Finding } from "../model/source.js";

const DEFAULT_FOLDER = ".journal";
/** A year of a dozen channels takes a few of these. */
const LITTLE_BYTES = 2e9;

/** Where the journal is kept: as told, as configured, or under the working folder, the simulated bench's by itself. */
export function journalFolder(
  told: string | null,
  configured: string | undefined,
  simulated: boolean,
): string {
  return resolve(told ?? configured ?? join(DEFAULT_FOLDER, simulated ? "simulated" : "station"));
}

/** Whether a journal could be written there, and how much room there is. Never throws. */
export async function checkJournalFolder(folder: string): Promise<Finding> {
  const subject = `journal in ${folder}`;
  try {
    const there = await nearestFolder(folder);
    await access(there, constants.W_OK | constants.X_OK);
    const { bavail, bsize } = await statfs(there);
    const room = `${((bavail * bsize) / 1e9).toFixed(1)} GB free`;
    if (bavail * bsize >= LITTLE_BYTES)
      return { subject, ok: true, found: `can be written, ${room}`, mend: "" };
    return {
      subject,
      ok: false,
      found: `can be written, but only ${room}`,
      mend: "make room, or name a folder on a larger disk",
    };
  } catch (error) {
    const found = `cannot be written: ${error instanceof Error ? error.message : String(error)}`;
    return {
      subject,
      ok: false,
      found,
      mend: "make the folder and give it to the user the station runs as, or name another",
    };
  }
}

async function nearestFolder(folder: string): Promise<string> {
  try {
    await access(folder);
    return folder;
  } catch {
    const above = dirname(folder);
    return above === folder ? folder : nearestFolder(above);
  }
}
