import { constants } from "node:fs";
import { access } from "node:fs/promises";
import type { Finding } from "../../model/source.js";
import { backupsIn } from "./folder.js";

/** A schedule of one a day may miss a day that the workshop is closed, but not many. */
const OLD_AFTER_MS = 3 * 86_400_000;
const DAY_MS = 86_400_000;

/** When the last good backup was made, and whether another could be. Never throws. @param folder null: none are set up */
export async function checkBackups(folder: string | null, wall: number): Promise<Finding> {
  if (folder === null) {
    return {
      subject: "backup",
      ok: true,
      found: "none is set up (section backup of station.yaml)",
      mend: "",
    };
  }
  const subject = `backup to ${folder}`;
  try {
    const [last] = await backupsIn(folder);
    await access(folder, constants.W_OK | constants.X_OK);
    const byHand = "run: npm run station -- backup";
    if (last === undefined) return { subject, ok: false, found: "there is none yet", mend: byHand };
    const made = `the last good one is of ${new Date(last.wall).toISOString()}`;
    if (wall - last.wall <= OLD_AFTER_MS) return { subject, ok: true, found: made, mend: "" };
    const days = Math.floor((wall - last.wall) / DAY_MS);
    return {
      subject,
      ok: false,
      found: `${made}, ${days} days ago`,
      mend: `look at the station's log, or ${byHand}`,
    };
  } catch (error) {
    const found = error instanceof Error ? error.message : String(error);
    return {
      subject,
      ok: false,
      found,
      mend: "make the folder, and give it to the user the station runs as",
    };
  }
}
