import { statSync } from "node:fs";
import type { FileIdentity } from "./protocol.js";
import { JournalGone } from "./trouble.js";

/** Device and inode; null if there is no such file, undefined if that cannot be told. */
export function identityOf(path: string): FileIdentity | null | undefined {
  try {
    const { dev, ino } = statSync(path, { bigint: true });
    return `${dev}:${ino}`;
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    return code === "ENOENT" || code === "ENOTDIR" ? null : undefined;
  }
}

/**
 * Whether a path still names the file that is open. A file whose name is removed or given to another stays open, and
 * whatever is written into it is gone when it is closed. Where the disk does not say, the next commit will.
 * @throws JournalGone if it does not
 */
export function checkSameFile(path: string, file: FileIdentity): void {
  const found = identityOf(path);
  if (found !== undefined && found !== file) throw new JournalGone();
}

/**
 * The file of this name, which has just been opened.
 * @throws JournalGone
 */
export function fileAt(path: string): FileIdentity {
  const found = identityOf(path);
  if (typeof found !== "string") throw new JournalGone();
  return found;
}
