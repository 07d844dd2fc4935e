import { constants } from "node:fs";
import { access, statfs } from "node:fs/promises";
import { dirname, join, resolve } from "node:path";
import type { Finding } from "../model/source.js";
import { judgeDisk } from "./disk/judge.js";

const DEFAULT_FOLDER = ".journal";
/** Charts, backups and whatever else lives on the disk want some room as well. */
const LITTLE_BYTES = 2e9;

/** Where the journal is kept: as told, as configured, or under the working folder, the simulated bench's by itself. */
export function journalFolder(
  told: string | null,
  configured: string | undefined,
  simulated: boolean,
): string {
  return resolve(told ?? configured ?? join(DEFAULT_FOLDER, simulated ? "simulated" : "station"));
}

export interface FolderNeeds {
  /** By how much the journal is expected to grow in a day, bytes. */
  readonly expectedADay: number;
  readonly reserveBytes: number;
  /** For so many days it should last at least. */
  readonly leastDays: number;
}

/** Whether a journal could be written there, how much room there is, and for how long that lasts. Never throws. */
export async function checkJournalFolder(folder: string, needs: FolderNeeds): Promise<Finding> {
  const subject = `journal in ${folder}`;
  const { expectedADay, reserveBytes, leastDays } = needs;
  try {
    const there = await nearestFolder(folder);
    await access(there, constants.W_OK | constants.X_OK);
    const { bavail, blocks, bsize } = await statfs(there);
    const { freeBytes, fewDays, text } = judgeDisk({
      freeBytes: bavail * bsize,
      totalBytes: blocks * bsize,
      journalBytes: 0,
      bytesADay: expectedADay,
      reserveBytes,
      leastDays,
      fewDays: false,
    });
    const room = text.replace(/\.$/, "");
    if ((freeBytes ?? 0) >= LITTLE_BYTES && !fewDays) {
      return { subject, ok: true, found: `can be written, ${room}`, mend: "" };
    }
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
