import { type FileHandle, open, rm } from "node:fs/promises";
import { join } from "node:path";
import { AppError } from "../../errors.js";
import type { KeptPhoto } from "./calls.js";
import { clearLeftOvers } from "./inventory.js";
import { PHOTO_LIMITS, type PhotoLimits, requireSize } from "./limits.js";
import { INCOMING } from "./names.js";
import type { Pictures } from "./pictures.js";
import { notKept, requireRoomFor } from "./store.js";
import { makeFolder } from "./whole-file.js";

/** More than these are not let in at a time: a phone sends one, and the next when that one is kept. */
const MOST_AT_ONCE = 16;

export interface PhotoDesk {
  /**
   * Takes in what somebody sends, in whatever pieces it comes; none of it is held in this process. When it resolves, the photo
   * is on the disk, and its row may be written.
   * @throws AppError "photo-busy", "photo-not-read" and "photo-not-kept", after which the same may be sent again later; "photo-too-large",
   * "photo-type" and "photo-unreadable", after which it is in vain
   */
  take(body: AsyncIterable<Uint8Array>): Promise<KeptPhoto>;
}

export interface PhotoDeskParts {
  /** Folder of the photos; it is made when the first one comes. */
  readonly folder: string;
  /** What of the disk belongs to the journal, bytes. */
  readonly reserveBytes: number;
  readonly pictures: Pictures;
  readonly limits?: PhotoLimits;
}

/** Where photos come in. What the last start of the station left unfinished is cleared away before the first one. */
export function createPhotoDesk({
  folder,
  reserveBytes,
  pictures,
  limits = PHOTO_LIMITS,
}: PhotoDeskParts): PhotoDesk {
  let number = 0;
  let inside = 0;
  let ready: Promise<void> | null = null;

  async function clear(): Promise<void> {
    await clearLeftOvers(folder);
    await makeFolder(join(folder, INCOMING));
  }

  async function receive(body: AsyncIterable<Uint8Array>, file: string): Promise<void> {
    const handle = await open(file, "wx").catch(refuseToKeep);
    try {
      await write(body, handle, limits);
    } finally {
      await handle.close();
    }
  }

  return {
    async take(body) {
      if (inside >= MOST_AT_ONCE) {
        throw new AppError(
          "photo-busy",
          "Other photos are being looked at. Send this one again in a minute.",
        );
      }
      inside += 1;
      number += 1;
      const file = join(folder, INCOMING, String(number));
      try {
        ready ??= clear();
        await ready.catch((error: unknown) => {
          ready = null;
          throw notKept(error);
        });
        await requireRoomFor(folder, limits.bytes, reserveBytes);
        await receive(body, file);
        return await pictures.call("keep", { file, folder, reserveBytes, limits });
      } finally {
        inside -= 1;
        await rm(file, { force: true });
      }
    },
  };
}

async function write(
  body: AsyncIterable<Uint8Array>,
  handle: FileHandle,
  limits: PhotoLimits,
): Promise<void> {
  let bytes = 0;
  const pieces = body[Symbol.asyncIterator]();
  try {
    for (;;) {
      const piece = await pieces.next().catch(refuseBrokenOff);
      if (piece.done === true) return;
      bytes += piece.value.byteLength;
      requireSize(bytes, limits);
      await handle.writeFile(piece.value).catch(refuseToKeep);
    }
  } finally {
    await pieces.return?.();
  }
}

function refuseToKeep(error: unknown): never {
  throw notKept(error);
}

function refuseBrokenOff(): never {
  throw new AppError("photo-not-read", "The photo broke off on the way. Send it again.");
}
