import { loadConfig } from "./config-file.js";
import { AppError } from "./errors.js";
import { journalFolder } from "./journal/folder.js";

/** Options of a verb beside those that all of them take, as node:util's parseArgs wants them. */
export type VerbOptions = Readonly<
  Record<string, { readonly type: "string" | "boolean"; readonly multiple?: boolean }>
>;

/** A call of a verb, as it was typed. */
export interface VerbCall {
  /** What stands behind the verb and is no option. */
  readonly operands: readonly string[];
  /** The value of a string option; null where it was not given. */
  text(option: string): string | null;
  /** All values of an option that may be given several times. */
  texts(option: string): readonly string[];
  /** Whether an option that takes no value was given. */
  given(option: string): boolean;
  readonly json: boolean;
  /** A variable of the environment, which is the start's too; null where it is not set. */
  variable(name: "STATION_SYS_ROOT"): string | null;
}

export interface Verb {
  /** Lines of the help: the call, what it does, its own options. */
  readonly help: string;
  readonly options: VerbOptions;
  /** How many operands it takes: so many, or from the one to the other. */
  readonly operands: number | readonly [least: number, most: number];
  /**
   * Prints what it was asked for to stdout.
   * @returns the exit code: 0 only when the work was done and all is well
   * @throws AppError for what went wrong, in words
   */
  run(call: VerbCall): Promise<number>;
}

/** A call that was not understood, as opposed to one that could not be carried out. */
export class Misuse extends Error {
  override readonly name = "Misuse";
}

/** Of every verb that works on a journal. */
export const JOURNAL_OPTIONS = {
  config: { type: "string" },
  journal: { type: "string" },
} as const satisfies VerbOptions;

/** The folder of the journal that a call is about: as told, as configured, or the default. */
export async function folderOfCall(call: VerbCall): Promise<string> {
  const told = call.text("journal");
  if (told !== null) return journalFolder(told, undefined, false);
  const { config } = await loadConfig(call.text("config"));
  const simulated = config.sources.some(({ driver }) => driver === "bench-simulator");
  return journalFolder(null, config.journal.folder, simulated);
}

/** One of the named words. @throws Misuse */
export function oneOf<W extends string>(call: VerbCall, option: string, words: readonly W[], usual: W): W {
  const text = call.text(option) ?? usual;
  const found = words.find((word) => word === text);
  if (found === undefined) throw new Misuse(`--${option}: found "${text}"; expected ${words.join(" or ")}`);
  return found;
}

/** An instant in ISO 8601 with its offset from UTC, or a day, which begins at 00:00 UTC; null where it was not given. @throws Misuse */
export function instantOption(call: VerbCall, option: string): number | null {
  const text = call.text(option);
  if (text === null) return null;
  const ISO = /^\d{4}-\d\d-\d\d(T\d\d:\d\d(:\d\d(\.\d{1,3})?)?(Z|[+-]\d\d:\d\d))?$/;
  const wall = ISO.test(text) ? Date.parse(text) : Number.NaN;
  if (Number.isNaN(wall)) {
    const expected = "a time such as 2026-05-04T09:30:00Z, or a day such as 2026-05-04 (UTC)";
    throw new Misuse(`--${option}: found "${text}"; expected ${expected}`);
  }
  return wall;
}

/** The text of an answer in one piece. */
export function print(text: string): void {
  process.stdout.write(text);
}

export function wordsOfError(error: unknown): string {
  if (error instanceof AppError) return `${error.title}.\n${error.message}`;
  return error instanceof Error ? error.message : String(error);
}
