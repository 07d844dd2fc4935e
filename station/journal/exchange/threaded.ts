import { startThread } from "../thread.js";
import type { ExportCalls, ExportPiece, ExportRequest } from "./export-thread.js";

/** An export of readings from a thread of its own. */
export interface ThreadedExport {
  /** Null after the last piece. None is empty. @throws ThreadEnded */
  next(): Promise<ExportPiece | null>;
  close(): Promise<void>;
}

/**
 * What is read is dropped a moment later: with the room that a thread is given by itself it piles up to a hundred megabytes
 * before it is cleared away.
 */
const YOUNG_MB = 6;
const OLD_MB = 64;

/**
 * @param threads folder of the compiled journal
 * @throws AppError "channel-unknown", "journal-unusable", at the latest from the first piece; ThreadEnded
 */
export async function threadedExport(request: ExportRequest, threads: URL): Promise<ThreadedExport> {
  const url = new URL("exchange/export-thread.js", threads);
  const thread = startThread<ExportCalls>(
    url,
    {},
    {
      maxYoungGenerationSizeMb: YOUNG_MB,
      maxOldGenerationSizeMb: OLD_MB,
    },
  );
  try {
    await thread.call("begin", request);
  } catch (error) {
    await thread.stop();
    throw error;
  }
  return {
    async next() {
      for (;;) {
        const piece = await thread.call("next", null);
        if (piece === null || piece.text.length > 0) return piece;
      }
    },
    close: () => thread.stop(),
  };
}
