import { resolve } from "node:path";
import { loadConfig } from "./config-file.js";
import { type Contents, damageWords } from "./journal/backup/copy.js";
import type { Keep } from "./journal/backup/generations.js";
import { type BackupPhotos, makeWholeBackup, photosWords, restorePhotos } from "./journal/backup/photos.js";
import { restore } from "./journal/backup/restore.js";
import { folderOfCall, JOURNAL_OPTIONS, Misuse, print, type Verb, type VerbCall } from "./verb.js";

const day = (wall: number | null) => (wall === null ? "never" : new Date(wall).toISOString());

function damageLine(contents: Contents, then: string): string {
  const words = damageWords(contents);
  return words === null ? "" : `${words}. ${then}\n`;
}

function photosLine(photos: BackupPhotos, done: string): string {
  const lost = photosWords(photos);
  const copied = photos.copied === 0 ? "" : `${photos.copied} photos were ${done}.\n`;
  return `${copied}${lost === null ? "" : `Of its photos, ${lost}.\n`}`;
}

function deletedLine(count: number): string {
  if (count === 0) return "";
  return count === 1 ? "1 older backup was deleted.\n" : `${count} older backups were deleted.\n`;
}

export const backupVerb: Verb = {
  help: `  backup           a copy of the journal, opened and checked, also while the station runs
    --to FOLDER      where to (default: as in the configuration, where older ones go by its rule)
`,
  options: { ...JOURNAL_OPTIONS, to: { type: "string" } },
  operands: 0,
  async run(call) {
    const journal = await folderOfCall(call);
    const { to, keep } = await destination(call);
    const made = await makeWholeBackup({ journal, to, keep, wall: Date.now() });
    const { file, bytes, contents, removed, photos } = made;
    const words =
      `${file}: ${(bytes / 1e6).toFixed(1)} MB, checked, ${contents.runs} runs, ` +
      `last start of the station ${day(contents.lastStartWall)}\n` +
      damageLine(contents, "No older backup was deleted, for one may have it whole.") +
      photosLine(photos, "copied") +
      deletedLine(removed.length);
    print(call.json ? `${JSON.stringify(made)}\n` : words);
    return 0;
  },
};

/** @throws Misuse where nothing says where to */
async function destination(call: VerbCall): Promise<{ to: string; keep: Keep | null }> {
  const told = call.text("to");
  // Into a folder that was named by hand, nothing is ever taken away.
  if (told !== null) return { to: resolve(told), keep: null };
  const { backup } = (await loadConfig(call.text("config"))).config;
  if (backup === undefined) {
    throw new Misuse("Nothing says where to: give --to FOLDER, or a backup section in station.yaml.");
  }
  return { to: resolve(backup.folder), keep: backup.keep };
}

export const restoreVerb: Verb = {
  help: `  restore FILE     puts a backup back (stop the station first); the journal that is there is moved aside
`,
  options: JOURNAL_OPTIONS,
  operands: 1,
  async run(call) {
    const folder = await folderOfCall(call);
    const stamp = new Date().toISOString().slice(0, 19).replaceAll(":", "");
    const backup = call.operands[0] ?? "";
    const restored = restore(backup, folder, `${stamp}Z`);
    const photos = await restorePhotos(resolve(backup), folder);
    const { contents, movedTo } = restored;
    const words =
      `The journal in ${folder} has ${contents.runs} runs again, last start ${day(contents.lastStartWall)}.\n` +
      damageLine(contents, "Another backup may have it whole.") +
      photosLine(photos, "put back") +
      (movedTo === null ? "" : `What was there before is now ${movedTo}.\n`);
    print(call.json ? `${JSON.stringify({ journal: folder, ...restored, photos })}\n` : words);
    return 0;
  },
};
