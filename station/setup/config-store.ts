import { createHash, randomUUID } from "node:crypto";
import { chmod, chown, open, readFile, realpath, rename, rm, stat } from "node:fs/promises";
import { dirname } from "node:path";
import { readConfig } from "../config.js";
import { AppError } from "../errors.js";
import { type ConfigEdit, EditRefused, editConfig } from "./config-edit.js";
import { type DiffPart, lineDiff } from "./line-diff.js";

/** The configuration as it is on the disk now. */
export interface ConfigOnDisk {
  /** Null where there is no file: the station shows its simulated bench. */
  readonly text: string | null;
  /** What an edit is an edit of: another where the text is another. */
  readonly hash: string;
  /** Whether there is a text from before the last change to go back to. */
  readonly canGoBack: boolean;
}

export interface ConfigDraft {
  /** The text that would be written. */
  readonly text: string;
  /** How it differs from the one on the disk. */
  readonly difference: readonly DiffPart[];
}

/** station.yaml, changed by the station for its owner. Everything it is asked goes one after the other. */
export interface ConfigStore {
  read(): Promise<ConfigOnDisk>;
  /**
   * What the edits would make of it, checked as at a start; nothing is written.
   * @throws AppError `config-changed` where the file is not the one that `hash` stands for, `config-edit-refused` where the
   * edits or what comes of them are not valid, with every fault
   */
  draft(edits: readonly ConfigEdit[], hash: string): Promise<ConfigDraft>;
  /** As `draft`, and writes it: whole or not at all. @throws AppError as `draft`, and `config-not-written` */
  write(edits: readonly ConfigEdit[], hash: string): Promise<ConfigOnDisk>;
  /**
   * Puts the text from before the last change back, and keeps the one it replaces, so that going back can be undone the same
   * way. Where there was no file before, there is none again.
   * @throws AppError `config-changed`, `config-no-way-back`, `config-not-written`
   */
  back(hash: string): Promise<ConfigOnDisk>;
}

/** Beside the configuration: its text before the last change that the station made. Empty where there was no file. */
export const BEFORE = ".before";

/**
 * @param file the configuration's path; one that is a link is followed, so that the link stays
 * @param start what a first file begins with, comments and all
 */
export function configStore(file: string, start: string): ConfigStore {
  let last: Promise<unknown> = Promise.resolve();
  const inTurn = <T>(act: () => Promise<T>): Promise<T> => {
    const turn = last.then(act, act);
    last = turn.catch(() => undefined);
    return turn;
  };

  const real = () => realpath(file).catch(() => file);
  const read = async (): Promise<ConfigOnDisk> => {
    const path = await real();
    const [text, before] = await Promise.all([textOf(path), textOf(path + BEFORE)]);
    return { text, hash: hashOf(text), canGoBack: before !== null };
  };
  const readSame = async (hash: string): Promise<ConfigOnDisk> => {
    const now = await read();
    if (now.hash === hash) return now;
    throw new AppError(
      "config-changed",
      `${file} was changed since this was begun, on another screen or by hand: look at it again, then decide.`,
    );
  };
  const draftOf = (now: ConfigOnDisk, edits: readonly ConfigEdit[]): ConfigDraft => {
    const text = checked(now.text ?? start, edits, file);
    const before = now.text === null ? [] : now.text.split("\n");
    return { text, difference: lineDiff(before, text.split("\n")) };
  };

  return {
    read: () => inTurn(read),
    draft: (edits, hash) => inTurn(async () => draftOf(await readSame(hash), edits)),
    write: (edits, hash) =>
      inTurn(async () => {
        const now = await readSame(hash);
        const { text } = draftOf(now, edits);
        if (text === now.text) return now;
        const path = await real();
        await writing(file, () => replaceBoth(path, now.text ?? "", text));
        return read();
      }),
    back: (hash) =>
      inTurn(async () => {
        const now = await readSame(hash);
        const path = await real();
        const before = await textOf(path + BEFORE);
        if (before === null) {
          throw new AppError(
            "config-no-way-back",
            `${file} was not changed by the station: nothing to go back to.`,
          );
        }
        await writing(file, () => replaceBoth(path, now.text ?? "", before === "" ? null : before));
        return read();
      }),
  };
}

function checked(text: string, edits: readonly ConfigEdit[], file: string): string {
  try {
    const edited = editConfig(text, edits);
    readConfig(edited, file);
    return edited;
  } catch (error) {
    if (error instanceof EditRefused) {
      throw new AppError("config-edit-refused", `${file}: expected ${error.message}. Nothing was changed.`);
    }
    if (!(error instanceof AppError)) throw error;
    throw new AppError("config-edit-refused", `${error.message}\nNothing was changed.`, error.errors);
  }
}

async function textOf(path: string): Promise<string | null> {
  try {
    return await readFile(path, "utf8");
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw new AppError("config-unreadable", `${path} could not be read: ${(error as Error).message}.`);
  }
}

function hashOf(text: string | null): string {
  return text === null ? "none" : createHash("sha256").update(text).digest("hex");
}

async function writing(file: string, act: () => Promise<void>): Promise<void> {
  try {
    await act();
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? "";
    const why =
      code === "EACCES" || code === "EPERM" || code === "EROFS"
        ? "the station's user may not write there. Let it, or make the change by hand"
        : code === "ENOSPC"
          ? "the disk is full. Make room, then try again"
          : (error as Error).message;
    throw new AppError("config-not-written", `${file} could not be written: ${why}. It is as it was before.`);
  }
}

/**
 * The text and the one before it, both or neither, also where the disk has room for only one: a way back that was lost over a change
 * that was not made would be a bad bargain.
 * @param text null where there is to be no file
 */
async function replaceBoth(path: string, before: string, text: string | null): Promise<void> {
  const partials: string[] = [];
  const placed = async (content: string): Promise<string> => {
    const partial = `${path}.${randomUUID()}.partial`;
    partials.push(partial);
    await writeLike(path, partial, content);
    return partial;
  };
  try {
    const was = await placed(before);
    const next = text === null ? null : await placed(text);
    // Both are on the disk: from here on nothing wants room.
    await rename(was, path + BEFORE);
    if (next === null) await rm(path, { force: true });
    else await rename(next, path);
    const folder = await open(dirname(path), "r");
    await folder.sync().finally(() => folder.close());
  } catch (error) {
    for (const partial of partials) await rm(partial, { force: true }).catch(() => undefined);
    throw error;
  }
}

/** On the disk when it returns, with the rights and the owner that the configuration has. */
async function writeLike(path: string, file: string, text: string): Promise<void> {
  const was = await stat(path).catch(() => null);
  const handle = await open(file, "wx", 0o600);
  try {
    await handle.writeFile(text);
    await handle.sync();
  } finally {
    await handle.close();
  }
  if (was === null) return;
  await chmod(file, was.mode & 0o777);
  // Only root can give a file away; whoever cannot, writes it as its own.
  await chown(file, was.uid, was.gid).catch(() => undefined);
}
