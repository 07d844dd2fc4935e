import { setImmediate as nextTurn } from "node:timers/promises";
import { AppError } from "../../errors.js";
import { type Db, openForWriting } from "../database.js";
import { lockFolder } from "../lock.js";
import { openingTrouble } from "../trouble.js";
import { makeIndex } from "./indexes.js";
import { lookThrough } from "./look.js";
import type { Progress } from "./progress.js";
import { type ReadingsReport, reportReadings } from "./readings-report.js";

const BUSY_TIMEOUT_MS = 5000;

/**
 * Makes the indexes anew that do not have what their tables hold, where nothing else is damaged. The folder is locked
 * meanwhile, as a station locks it.
 * @returns their names
 * @throws as `mendReadings`
 */
export function mendIndexes(folder: string): string[] {
  let db: Db | null = null;
  const lock = lockedFolder(folder);
  try {
    db = openForWriting(folder, { busyTimeoutMs: BUSY_TIMEOUT_MS });
    const { indexes } = lookThrough(db);
    for (const name of indexes) makeIndex(db, name);
    return [...indexes];
  } catch (error) {
    throw inWords(folder, error);
  } finally {
    db?.close();
    lock.release();
  }
}

/**
 * Makes the rollups that are wrong anew from the readings, then looks at everything once more: what it says is how things
 * are afterwards. The folder is locked meanwhile, as a station locks it. Cut off, it can be begun again.
 * @throws AppError "journal-in-use" while a station writes there; "journal-unusable" where it cannot be written
 */
export async function mendReadings(folder: string, progress: Progress): Promise<ReadingsReport> {
  let db: Db | null = null;
  const lock = lockedFolder(folder);
  try {
    db = openForWriting(folder, { busyTimeoutMs: BUSY_TIMEOUT_MS });
    const told = async (step: Parameters<Progress["step"]>[0]) => {
      progress.step(step);
      await nextTurn();
    };
    const first = await reportReadings(db, { mend: true }, told);
    if (first.mended.count === 0) return first;
    progress.say("Looking at everything once more.");
    return { ...(await reportReadings(db, { mend: false }, told)), mended: first.mended };
  } catch (error) {
    throw inWords(folder, error);
  } finally {
    db?.close();
    lock.release();
  }
}

function lockedFolder(folder: string) {
  try {
    return lockFolder(folder, BUSY_TIMEOUT_MS);
  } catch (error) {
    if (!(error instanceof AppError) || error.code !== "journal-in-use") throw inWords(folder, error);
    throw new AppError(
      "journal-in-use",
      `A station is writing the journal in ${folder}. Stop it, repair, and start it again; nothing was changed. ` +
        "Without --repair, verify also looks at a journal that is in use.",
    );
  }
}

function inWords(folder: string, error: unknown): unknown {
  const trouble = openingTrouble(error);
  if (trouble === null) return error;
  return new AppError("journal-unusable", `The journal in ${folder} could not be repaired: ${trouble}.`);
}
