import { createWriteStream, renameSync, rmSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { AppError } from "./errors.js";
import { copyToFile, damageWords } from "./journal/backup/copy.js";
import { PARTIAL } from "./journal/backup/folder.js";
import { openForReading } from "./journal/database.js";
import { roomBeside } from "./journal/disk/fit.js";
import { RESERVE_BYTES } from "./journal/disk/room.js";
import { directReader } from "./journal/exchange/direct-reader.js";
import {
  exportReadings,
  type ReadingsFormat,
  type ReadingsQuery,
  type Span,
  type Tally,
} from "./journal/exchange/export-readings.js";
import { exportAlarms, exportRuns } from "./journal/exchange/export-records.js";
import { ownFileAt } from "./journal/own-files.js";
import { type JournalReader, openReader } from "./journal/reader.js";
import type { Extent } from "./journal/thinning/extent.js";
import { keptRules } from "./kept-rules.js";
import { channelsOfRun } from "./trials/past-rules.js";
import {
  folderOfCall,
  instantOption,
  JOURNAL_OPTIONS,
  Misuse,
  oneOf,
  print,
  type Verb,
  type VerbCall,
} from "./verb.js";

const STDOUT = "-";

export const exportVerb: Verb = {
  help: `  export           readings, runs or alarms, to be read by other programs or imported again
    --what WHAT      readings (default), runs, alarms, or journal: the whole of it as one SQLite file
    --format FORMAT  csv (default); readings also senml; runs and alarms also jsonl, which is the form to import
    --from TIME      from this time on, ISO 8601; a day begins at 00:00 UTC
    --to TIME        up to this time, which is not included
    --channel ID     only this channel; may be given several times
    --out FILE       where to; default "-", which is the standard output
`,
  options: {
    ...JOURNAL_OPTIONS,
    what: { type: "string" },
    format: { type: "string" },
    from: { type: "string" },
    to: { type: "string" },
    channel: { type: "string", multiple: true },
    out: { type: "string" },
  },
  operands: 0,
  async run(call) {
    const what = oneOf(call, "what", ["readings", "runs", "alarms", "journal"] as const, "readings");
    const out = call.text("out") ?? STDOUT;
    const folder = await folderOfCall(call);
    if (out !== STDOUT) refuseOwnFile(folder, out);
    if (what === "journal") {
      if (out === STDOUT) throw new Misuse("--what journal: give the file with --out");
      refuseOptions(call, ["format", "from", "to", "channel"], "--what journal gives all of it");
      const contents = copyToFile(folder, out);
      const damage = damageWords(contents);
      tell(
        call,
        out,
        { what, ...contents },
        `${out}: the whole journal, checked, with ${contents.runs} runs\n${damage === null ? "" : `${damage}.\n`}`,
      );
      return 0;
    }
    const tally: Tally = { rows: 0 };
    const reader = openReader({ folder });
    let thinned: Extent | null = null;
    try {
      const pieces = await piecesOf(call, what, folder, reader, tally);
      await (out === STDOUT
        ? pipeline(Readable.from(pieces, { highWaterMark: 1 }), process.stdout)
        : toFile(leavingRoom(pieces, dirname(resolve(out)), folder), out));
      if (what === "readings") thinned = await reader.thinned(readingsQuery(call));
    } catch (error) {
      throw exportFailure(error);
    } finally {
      await reader.close();
    }
    const report = { what, rows: tally.rows, ...(thinned === null ? {} : { thinned }) };
    tell(call, out, report, `${out}: ${tally.rows} ${what}\n${thinnedWords(thinned)}`);
    return 0;
  },
};

/** @throws Misuse */
async function piecesOf(
  call: VerbCall,
  what: "readings" | "runs" | "alarms",
  folder: string,
  reader: JournalReader,
  tally: Tally,
): Promise<AsyncGenerator<string, void>> {
  if (what === "readings") {
    const format = oneOf(call, "format", ["csv", "senml"] as const, "csv");
    return readingsPieces(folder, readingsQuery(call), format, tally);
  }
  const span = spanOf(call);
  refuseOptions(call, ["channel"], "only readings have channels");
  const format = oneOf(call, "format", ["csv", "jsonl"] as const, "csv");
  if (what === "alarms") return exportAlarms(reader, span, format, tally);
  const rules = await keptRules(reader);
  return exportRuns(reader, span, format, tally, (run, session) => channelsOfRun(run, session, rules));
}

/** From this thread, which has nothing else to do: those of years come by, a few thousand at a time. */
async function* readingsPieces(
  folder: string,
  query: ReadingsQuery,
  format: ReadingsFormat,
  tally: Tally,
): AsyncGenerator<string, void> {
  const db = openForReading(folder);
  try {
    yield* exportReadings(directReader(db), query, format, tally);
  } finally {
    db.close();
  }
}

/** @throws Misuse */
function spanOf(call: VerbCall): Span {
  return { from: instantOption(call, "from"), to: instantOption(call, "to") };
}

/** @throws Misuse */
function readingsQuery(call: VerbCall): ReadingsQuery {
  const named = call.texts("channel");
  return { ...spanOf(call), channels: named.length === 0 ? null : named };
}

/** What an export cannot hold, in words; empty where nothing was taken away. */
function thinnedWords(thinned: Extent | null): string {
  if (thinned === null || thinned.from === null || thinned.to === null) return "";
  const [from, to] = [thinned.from, thinned.to].map((wall) => new Date(wall).toISOString());
  return (
    `The rule of keeping has taken ${thinned.readings} readings away between ${from} and ${to}: they are not in it, ` +
    "but those around runs are. The rollups that are left of them are in a copy of the whole journal (--what journal).\n"
  );
}

function refuseOptions(call: VerbCall, options: readonly string[], why: string): void {
  const given = options.find((option) => call.texts(option).length > 0);
  if (given !== undefined) throw new Misuse(`--${given}: ${why}`);
}

const LOOK_EVERY_CHARACTERS = 8e6;

/** An export that would fill the journal's own disk breaks off before. */
async function* leavingRoom(
  pieces: AsyncIterable<string>,
  to: string,
  journal: string,
): AsyncGenerator<string, void> {
  let sinceLook = LOOK_EVERY_CHARACTERS;
  for await (const piece of pieces) {
    sinceLook += piece.length;
    if (sinceLook >= LOOK_EVERY_CHARACTERS) {
      sinceLook = 0;
      if (roomBeside(to, journal, RESERVE_BYTES) === 0) {
        throw new AppError(
          "export-failed",
          "It broke off: what is left of this disk is kept for the journal. Give --out a file on another drive.",
        );
      }
    }
    yield piece;
  }
}

/** An export must never take the place of the journal it is made from. @throws Misuse */
function refuseOwnFile(folder: string, out: string): void {
  for (const file of [out, out + PARTIAL]) {
    const own = ownFileAt(folder, file);
    if (own === null) continue;
    throw new Misuse(
      `--out: found "${file}", which is the station's own ${own}; expected a file of another name. Nothing was written.`,
    );
  }
}

/** Under another name until it is whole: what is there under its own name is never half an export. */
async function toFile(pieces: AsyncIterable<string>, file: string): Promise<void> {
  const partial = file + PARTIAL;
  try {
    await pipeline(Readable.from(pieces, { highWaterMark: 1 }), createWriteStream(partial, { flush: true }));
    renameSync(partial, file);
  } catch (error) {
    rmSync(partial, { force: true });
    throw error;
  }
}

const WORDS: Readonly<Record<string, string>> = {
  EPIPE: "whoever was to read it has gone",
  ENOSPC: "the disk is full",
  EACCES: "the folder may not be written",
  ENOENT: "the folder is not there",
  EROFS: "the disk is read-only",
};

function exportFailure(error: unknown): unknown {
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  const words = WORDS[code];
  return words === undefined ? error : new AppError("export-failed", `It broke off: ${words}.`);
}

/** The summary; it must not get among the rows. */
function tell(call: VerbCall, out: string, report: object, words: string): void {
  const text = call.json ? `${JSON.stringify(report)}\n` : words;
  if (out === STDOUT) process.stderr.write(text);
  else print(text);
}
