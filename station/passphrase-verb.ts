import { randomUUID } from "node:crypto";
import { rename } from "node:fs/promises";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { ACCESS_FILE, type AccessFile, readAccessFile, writeAccessFile } from "./access/file.js";
import { createHashing } from "./access/hashing.js";
import { checkPassphrase, fold } from "./access/passphrase.js";
import { createSystemClock } from "./clock.js";
import { lockFolder } from "./journal/lock.js";
import { folderOfCall, JOURNAL_OPTIONS, print, type Verb } from "./verb.js";

const LOCK_WAIT_MS = 1000;

/** The first line that is typed or handed over; without it the passphrase would stand in the shell's history. */
async function firstLine(input: NodeJS.ReadableStream): Promise<string> {
  const lines = createInterface({ input, crlfDelay: Number.POSITIVE_INFINITY });
  for await (const line of lines) return line;
  return "";
}

/**
 * Gives an owner a new passphrase, whatever was there before: who can write in the journal's folder is let in. Everybody has to sign
 * in anew. @throws AppError `journal-in-use` while the station runs, `request-invalid`
 */
export async function givePassphrase(folder: string, name: string, passphrase: string): Promise<AccessFile> {
  checkPassphrase(passphrase, name);
  const lock = lockFolder(folder, LOCK_WAIT_MS);
  const clock = await createSystemClock();
  try {
    const before = await readAccessFile(folder).catch(async () => {
      await rename(join(folder, ACCESS_FILE), join(folder, `${ACCESS_FILE}.damaged`));
      return null;
    });
    const hash = await createHashing().make(passphrase, true);
    const known = before?.people.find((each) => fold(each.name) === fold(name));
    const { wall, mono } = clock.now();
    const owner = {
      ...{ id: known?.id ?? randomUUID(), name: known?.name ?? name, role: "owner" as const, hash },
      sinceWall: known?.sinceWall ?? wall,
    };
    const content: AccessFile = {
      version: 1,
      written: { wall, mono, boot: clock.bootId, clock: clock.state() },
      people: [owner, ...(before?.people ?? []).filter(({ id }) => id !== owner.id)],
      pin: before?.pin ?? { hash: null, idleMinutes: 10 },
      scraper: before?.scraper ?? null,
      sessions: [],
    };
    await writeAccessFile(folder, content);
    return content;
  } finally {
    clock.stop();
    lock.release();
  }
}

export const passphraseVerb: Verb = {
  help: `  passphrase       gives an owner a new passphrase, read from stdin; the station must be stopped
    --name NAME      whose (default Owner); one that is not there yet is made
`,
  options: { ...JOURNAL_OPTIONS, name: { type: "string" } },
  operands: 0,
  async run(call) {
    const folder = await folderOfCall(call);
    if (process.stdin.isTTY) process.stderr.write("The new passphrase, which is seen as it is typed: ");
    const name = (call.text("name") ?? "Owner").trim();
    const { people } = await givePassphrase(folder, name, await firstLine(process.stdin));
    const names = people.map((person) => ({ name: person.name, role: person.role }));
    print(
      call.json
        ? `${JSON.stringify({ folder, people: names })}\n`
        : `${names[0]?.name} signs in with the new passphrase, and everybody else has to sign in anew.\n`,
    );
    return 0;
  },
};
