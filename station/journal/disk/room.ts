import { statfsSync } from "node:fs";

/**
 * The last of the disk, bytes: below it readings wait in memory, so that runs, their stamps, alarms and changes of setting can
 * still be committed. Some thousands of those fit.
 */
export const RESERVE_BYTES = 32e6;

/**
 * What is given up, in this order, as room runs out; each needs as many reserves to be free. Whatever can wait or be had
 * elsewhere comes before sealing, which frees room in the end but needs some first, and readings come last. Runs, stamps,
 * alarms and settings are not in the list: they are written while a byte is left.
 */
const RESERVES = {
  /** Backups, exports and imports into the journal's own disk, beyond what they themselves take. */
  dispensable: 2,
  sealing: 1.5,
  /** Beginning again with readings that were held: more than is needed to go on, so that it does not stop and start by turns. */
  resuming: 1.25,
  readings: 1,
  /** Readings that are held when the station is stopped would be lost with its memory. */
  lastReadings: 0.25,
} as const;
export type RoomFor = keyof typeof RESERVES;

/** @param freeBytes null where it is not known: then it is tried */
export function hasRoomFor(what: RoomFor, freeBytes: number | null, reserveBytes: number): boolean {
  return freeBytes === null || freeBytes >= RESERVES[what] * reserveBytes;
}

/** What may be taken of the disk for something, bytes ≥ 0. */
export function roomFor(what: RoomFor, freeBytes: number, reserveBytes: number): number {
  return Math.max(0, freeBytes - RESERVES[what] * reserveBytes);
}

/**
 * Bytes free to this user on the disk of a file or folder; null where that cannot be told. Waits for as long as the disk does,
 * so never on the main thread.
 */
export function freeBytesAt(path: string): number | null {
  try {
    const { bavail, bsize } = statfsSync(path);
    return bavail * bsize;
  } catch {
    return null;
  }
}
