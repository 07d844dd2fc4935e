import { statfsSync, statSync } from "node:fs";
import { AppError, type ErrorCode } from "../../errors.js";
import { bytesText } from "../../model/disk.js";
import { roomFor } from "./room.js";

export interface Wanted {
  /** The error it is refused with, and what it is, as "a backup". */
  readonly code: ErrorCode;
  readonly what: string;
  readonly bytes: number;
  /** The folder it goes to, which is there. */
  readonly to: string;
  /** The folder of the journal, which is there. */
  readonly journal: string;
  readonly reserveBytes: number;
}

/**
 * What can wait is not begun where it would not fit, and on the journal's own disk it leaves the journal room to go on. Waits
 * for the disk, so never on the main thread of a station.
 * @throws AppError `code`, with what is needed and what there is
 */
export function requireRoom({ code, what, bytes, to, journal, reserveBytes }: Wanted): void {
  const room = roomBeside(to, journal, reserveBytes);
  if (bytes <= room) return;
  throw new AppError(
    code,
    `${to}: there is no room for ${what}. It takes about ${bytesText(bytes)}, and ${bytesText(room)} may be taken there. ` +
      "Make room, or name a folder on another drive. Nothing was begun.",
  );
}

/** Bytes that may be taken of the disk of a folder: all that is free, but on the journal's own disk. */
export function roomBeside(to: string, journal: string, reserveBytes: number): number {
  const { bavail, bsize } = statfsSync(to);
  const free = bavail * bsize;
  return isSameDisk(to, journal) ? roomFor("dispensable", free, reserveBytes) : free;
}

function isSameDisk(one: string, other: string): boolean {
  return statSync(one).dev === statSync(other).dev;
}
