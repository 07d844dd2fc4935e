import { createReadStream } from "node:fs";
import { AppError } from "./errors.js";
import { openReader } from "./journal/reader.js";
import type { BadCell } from "./model/past-run.js";
import type { ReviewRow } from "./model/review.js";
import type { ReviewRows } from "./model/review-views.js";
import { counted } from "./review/counted.js";
import { groupedBy } from "./review/grouped.js";
import { readPastRuns } from "./trials/past/read.js";
import { localMoment } from "./trials/past/take.js";
import { textOf } from "./trials/past/text.js";
import { rowsView } from "./trials/review-answers.js";
import { reviewedPast } from "./trials/review-past.js";
import { folderOfCall, JOURNAL_OPTIONS, Misuse, print, type Verb, type VerbCall } from "./verb.js";

/** Nothing else waits for this program: more than the station takes in. */
const BOUNDS = { mostRows: 20_000, mostNamed: Number.POSITIVE_INFINITY };
const MOST_BYTES = 64e6;

export const reviewVerb: Verb = {
  help: `  review [FILE]    whether the conditions explain bad runs, and which stock is better: of the runs of a spreadsheet (CSV, the
                   columns of past runs), or of the journal; with --json one object for each question in an array
    --run NAME       only about this run, as the sheet or this command calls it; FILE and --journal go not together
`,
  options: { ...JOURNAL_OPTIONS, run: { type: "string" } },
  operands: [0, 1],
  async run(call) {
    const [file] = call.operands;
    if (file !== undefined && call.text("journal") !== null)
      throw new Misuse(
        "Either the runs of a FILE are reviewed or those of a journal: leave one of them out.",
      );
    const found = file === undefined ? await ofJournal(call) : await ofFile(file);
    if (found === null) return 1;
    const run = call.text("run");
    const rows = run === null ? found.rows : rowsOfRun(found, run);
    for (const warning of found.warnings) process.stderr.write(`${warning}\n`);
    print(call.json ? `${JSON.stringify(rows)}\n` : words(rows, found.runs));
    return 0;
  },
};

async function ofJournal(call: VerbCall): Promise<ReviewRows> {
  const reader = openReader({ folder: await folderOfCall(call) });
  try {
    const bytes = await reader.trials("review", { about: "rows" });
    return JSON.parse(Buffer.from(bytes).toString("utf8")) as ReviewRows;
  } finally {
    await reader.close();
  }
}

/** Null where a cell is not right: then nothing is judged, and each is named. */
async function ofFile(file: string): Promise<ReviewRows | null> {
  const { runs, rows, bad, badRows } = await readPastRuns(
    textOf(bytesOf(file), MOST_BYTES),
    localMoment,
    BOUNDS,
  );
  if (badRows > 0) {
    process.stderr.write(
      `Nothing was judged: of ${counted(rows, "row")} ${badRows} ${badRows === 1 ? "has" : "have"} a cell that is not right.\n${bad.map(cellWords).join("")}`,
    );
    return null;
  }
  return rowsView({
    runs: reviewedPast(
      runs.map((body) => ({ id: body.run, body })),
      null,
    ),
    marks: [],
    warnings: [],
  });
}

/** @throws AppError `file-unreadable` */
async function* bytesOf(file: string): AsyncGenerator<Uint8Array> {
  let count = 0;
  try {
    for await (const chunk of createReadStream(file) as AsyncIterable<Uint8Array>) {
      count += chunk.byteLength;
      yield chunk;
    }
  } catch (error) {
    throw new AppError("file-unreadable", `${file} could not be read: ${whyUnread(error)}.`);
  }
  if (count === 0)
    throw new AppError(
      "file-unreadable",
      `${file} is empty: without runs nothing can be told. Its first line is to name the columns, and each that follows is a run.`,
    );
}

/** In words; what the system calls it, where it is none of the usual. */
function whyUnread(error: unknown): string {
  const code = error instanceof Error && "code" in error ? String(error.code) : String(error);
  const words: Readonly<Record<string, string>> = {
    ENOENT: "there is no such file",
    EISDIR: "it is a folder",
    EACCES: "this account may not read it",
  };
  return words[code] ?? code;
}

function cellWords({ line, column, found, expected }: BadCell): string {
  return `line ${line}, ${column}: found ${JSON.stringify(found)}; expected ${expected}\n`;
}

/** @throws AppError `run-unknown`, `run-not-bad` */
function rowsOfRun({ rows, names }: ReviewRows, name: string): ReviewRow[] {
  // A number means a run of the station before one of a sheet that has the same.
  for (const asked of [name, `Run ${name}`, name.replace(/^Run /, ""), `Past run ${name}`]) {
    const its = rows.filter(({ run }) => run === asked);
    if (its.length > 0) return its;
    if (names.includes(asked))
      throw new AppError("run-not-bad", `It is not known of ${asked} that it was not cut through.`);
  }
  throw new AppError("run-unknown", `No run is called “${name}”.`);
}

/** For people: over all runs first, then each run that was not cut through, then stocks against each other. */
function words(rows: readonly ReviewRow[], runs: number): string {
  const parts = groupedBy(rows, ({ question, run }) => partOf(question, run, runs));
  return [...parts]
    .map(([part, its]) => {
      const lines = its.flatMap(({ sentence, warnings }) => [
        sentence,
        ...warnings.map((warning) => `  ${warning}`),
      ]);
      return `${part}\n${lines.join("\n")}\n`;
    })
    .join("\n");
}

function partOf(question: ReviewRow["question"], run: string | undefined, runs: number): string {
  if (question === "materials") return "Stock against stock:";
  if (run === undefined) return `Conditions, over ${runs} ${runs === 1 ? "run" : "runs"}:`;
  return `${/^\d/.test(run) ? `Run ${run}` : run}, not cut through:`;
}
