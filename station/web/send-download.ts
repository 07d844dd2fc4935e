import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import type { Response } from "express";
import type { Download } from "../journal/exchange/downloads.js";

type Piece = Uint8Array | string;

/** Whoever takes nothing for so long has gone, or put it off: the next one gets its turn. */
const IDLE_MS = 120_000;

export interface Sent {
  /** Plain characters, no quotes. */
  readonly name: string;
  readonly type: string;
}

/**
 * Sends what is asked for as a file, no faster than it is taken. The first piece is there before the answer begins, so that
 * what cannot be read is refused in words; what breaks off later cuts the connection, so that it is seen to be broken off.
 */
export async function sendDownload(
  response: Response,
  { name, type }: Sent,
  download: Download,
  idleMs = IDLE_MS,
): Promise<void> {
  try {
    const first = await download.next();
    response.set("Content-Type", type);
    response.set("Content-Disposition", `attachment; filename="${name}"`);
    if (download.bytes !== null) response.set("Content-Length", String(download.bytes));
    response.setTimeout(idleMs, () => response.destroy());
    await pipeline(Readable.from(pieces(first, download), { highWaterMark: 1 }), response);
  } catch (error) {
    if (!hasGone(error)) throw error;
  } finally {
    await download.close();
  }
}

/** Closed before the last of it is handed on: whoever has the whole file may ask for the next at once. */
async function* pieces(first: Piece | null, download: Download): AsyncGenerator<Piece, void> {
  let left = download.bytes ?? Number.POSITIVE_INFINITY;
  for (let piece = first; piece !== null; piece = left > 0 ? await download.next() : null) {
    left -= piece.length;
    if (left <= 0) await download.close();
    yield piece;
  }
  await download.close();
}

/** Whoever asked closed the connection, which is no fault. */
function hasGone(error: unknown): boolean {
  return error instanceof Error && "code" in error && error.code === "ERR_STREAM_PREMATURE_CLOSE";
}
