import { type FileHandle, open, rm } from "node:fs/promises";
import { join } from "node:path";
import { AppError } from "../../errors.js";
import type { ExportsView } from "../../model/exports.js";
import type { BackupCalls } from "../backup/backup-thread.js";
import { PARTIAL } from "../backup/folder.js";
import { LITTLE_MEMORY, startThread, ThreadEnded } from "../thread.js";
import type { ReadingsFormat, ReadingsQuery } from "./export-readings.js";
import type { ExportCalls } from "./export-thread.js";

/** Something to be sent, a piece at a time: nothing is read before it is asked for. */
export interface Download {
  /** Null where that is not known before the end. */
  readonly bytes: number | null;
  /** Null after the last piece. None is empty; text is sent in UTF-8. */
  next(): Promise<Uint8Array | string | null>;
  /** To be called whatever happened; safe to call twice. Lets the next one begin. */
  close(): Promise<void>;
}

/** Copies of what the journal holds, for a browser. They cost much, so that there is one at a time. */
export interface Downloads {
  /** @throws AppError "export-running", "channel-unknown", "journal-unusable", at the latest from the first piece */
  readings(query: ReadingsQuery, format: ReadingsFormat): Promise<Download>;
  /**
   * The whole journal, as it is at this moment, checked. The copy lies beside the journal until it has been opened for sending.
   * @throws AppError "export-running"; "export-failed" where there is no room for the copy; as `copyJournal`
   */
  journal(): Promise<Download>;
  view(): ExportsView;
  /** Takes away what a copy that was cut off with the power has left. To be called once the journal is this station's. */
  tidy(): Promise<void>;
}

export interface DownloadParts {
  /** Of the journal. */
  readonly folder: string;
  /** What a copy leaves of the journal's disk for the journal, bytes. */
  readonly reserveBytes: number;
  /** Folder of the compiled journal; by default the one this module lies in. */
  readonly threadsUrl?: URL;
}

const COPY = "download.sqlite";
const PIECE_BYTES = 262_144;

export function createDownloads({ folder, reserveBytes, threadsUrl }: DownloadParts): Downloads {
  const threads = threadsUrl ?? new URL("../", import.meta.url);
  const copy = join(folder, COPY);
  let running = false;
  let trouble: string | null = null;

  /** Holds the only place until what has been begun is closed. */
  async function only(begin: () => Promise<Download>): Promise<Download> {
    if (running) {
      throw new AppError(
        "export-running",
        "Another export is being sent. Wait until it is done, then try again.",
      );
    }
    running = true;
    trouble = null;
    const free = () => {
      running = false;
    };
    try {
      return telling(await begin(), free);
    } catch (error) {
      free();
      throw noted(error);
    }
  }

  function telling(begun: Download, free: () => void): Download {
    let closing: Promise<void> | null = null;
    return {
      bytes: begun.bytes,
      next: () =>
        begun.next().catch((error: unknown) => {
          throw noted(error);
        }),
      close() {
        closing ??= begun.close().finally(free);
        return closing;
      },
    };
  }

  /** A browser shows little of why a file did not come, so that the page asks for it. */
  function noted(error: unknown): unknown {
    const known =
      error instanceof ThreadEnded
        ? new AppError(
            "export-failed",
            `The export broke off by a fault of the station (${error.message}). Try again.`,
          )
        : error;
    trouble = known instanceof Error ? known.message : String(known);
    return known;
  }

  async function readingsFrom(query: ReadingsQuery, format: ReadingsFormat): Promise<Download> {
    const url = new URL("exchange/export-thread.js", threads);
    const thread = startThread<ExportCalls>(url, {}, LITTLE_MEMORY);
    try {
      await thread.call("begin", { folder, query, format });
    } catch (error) {
      await thread.stop();
      throw error;
    }
    return {
      bytes: null,
      async next() {
        for (;;) {
          const piece = await thread.call("next", null);
          if (piece === null || piece.length > 0) return piece;
        }
      },
      close: () => thread.stop(),
    };
  }

  async function copied(): Promise<Download> {
    const thread = startThread<BackupCalls>(new URL("backup/backup-thread.js", threads));
    try {
      await thread.call("copy", { journal: folder, target: copy, reserveBytes });
    } finally {
      await thread.stop();
    }
    const file = await open(copy);
    try {
      // The name goes at once: what is open can be read to its end, and nothing is left whatever happens from here on.
      await rm(copy);
      return piecesOf(file, (await file.stat()).size);
    } catch (error) {
      await file.close();
      throw error;
    }
  }

  return {
    readings: (query, format) => only(() => readingsFrom(query, format)),
    journal: () => only(copied),
    view: () => ({ running, trouble }),
    async tidy() {
      if (running) return;
      for (const left of [copy, copy + PARTIAL]) await rm(left, { force: true });
    },
  };
}

function piecesOf(file: FileHandle, bytes: number): Download {
  return {
    bytes,
    async next() {
      const { bytesRead, buffer } = await file.read(Buffer.allocUnsafe(PIECE_BYTES), 0, PIECE_BYTES);
      return bytesRead === 0 ? null : buffer.subarray(0, bytesRead);
    },
    close: () => file.close(),
  };
}
