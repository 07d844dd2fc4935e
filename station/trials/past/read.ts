import { AppError } from "../../errors.js";
import { type CsvRow, csvRows, textOfCell } from "../../journal/exchange/csv.js";
import { Refused } from "../../journal/exchange/refused.js";
import type { BadCell, PastColumn, PastCondition, PastRun } from "../../model/past-run.js";
import { pastRunSchema } from "../../model/past-run-schema.js";
import { isCondition, momentOf, numberOf, outcomeOf, PAST_COLUMNS } from "./columns.js";
import { pause } from "./pauses.js";

export interface PastRead {
  readonly runs: readonly PastRun[];
  readonly rows: number;
  readonly bad: readonly BadCell[];
  readonly badRows: number;
  readonly conditions: readonly PastCondition[];
  readonly notes: readonly string[];
}

/** How much of a file is taken, and how much is said of what is not right in it. */
export interface PastReadBounds {
  readonly mostRows: number;
  /** Bad cells that are named. */
  readonly mostNamed: number;
}

/** More than a person would ever type, and no more than the station can hand on without holding its alarms up. */
const WITHIN_STATION: PastReadBounds = { mostRows: 3_000, mostNamed: 100 };

/**
 * Past runs out of a spreadsheet that was saved as CSV: RFC 4180, or with semicolons, as spreadsheets write it where a comma stands
 * before the decimals. Every row is read, and each cell that is not right is named; a row with one gives no run.
 * @param local see `momentOf`
 * @throws AppError "import-refused" where it cannot be read as a table, or a column that must be there is not
 */
export async function readPastRuns(
  text: AsyncIterable<string>,
  local: Parameters<typeof momentOf>[1],
  { mostRows, mostNamed }: PastReadBounds = WITHIN_STATION,
): Promise<PastRead> {
  const rows = rowsOf(text);
  const first = await rows.next();
  const header =
    first.done === true ? [] : first.value.cells.map((cell) => cell.replace(/^\uFEFF/, "").trim());
  checkHeader(header);
  const runs: PastRun[] = [];
  const bad: BadCell[] = [];
  const names = new Map<string, number>();
  let count = 0;
  let badRows = 0;
  for await (const row of rows) {
    if (row.cells.every((cell) => cell.trim() === "")) continue;
    count += 1;
    if (count > mostRows)
      throw new AppError("import-refused", `A file has at most ${mostRows} runs: divide it.`);
    await pause(count);
    const read = readRow(header, row);
    if (read.run !== null) {
      const before = names.get(read.run.run);
      if (before === undefined) names.set(read.run.run, row.line);
      else
        read.faults.push({
          line: row.line,
          column: "run",
          found: read.run.run,
          expected: `a name of its own: line ${before} has this one`,
        });
    }
    if (read.faults.length > 0) badRows += 1;
    else if (read.run !== null) runs.push(read.run);
    bad.push(...read.faults.slice(0, Math.max(0, mostNamed - bad.length)));
  }
  const known = new Set(PAST_COLUMNS.map(({ name }) => name));
  return {
    ...{ runs, rows: count, bad, badRows },
    conditions: header.filter(isCondition),
    notes: header.filter((name) => name !== "" && !known.has(name)),
  };

  function readRow(columns: readonly string[], { line, cells }: CsvRow) {
    const faults: BadCell[] = [];
    const of = <T>(name: string, read: (cell: string) => T | undefined, empty: T): T => {
      const column = PAST_COLUMNS.find((each) => each.name === name) as PastColumn;
      const cell = textOfCell(cells[columns.indexOf(name)] ?? "").trim();
      if (cell === "" && !column.required) return empty;
      const value = cell === "" ? undefined : read(cell);
      if (value !== undefined) return value;
      faults.push({ line, column: name, found: cell.slice(0, 60), expected: column.expected });
      return empty;
    };
    const words = (most: number) => (cell: string) => (cell.length <= most ? cell : undefined);
    const within = (above: number, most: number) => (cell: string) => {
      const value = numberOf(cell);
      return value !== undefined && value > above && value <= most ? value : undefined;
    };
    const whole = (cell: string) => {
      const value = numberOf(cell);
      return value !== undefined && Number.isInteger(value) && value >= 1 && value <= 50 ? value : undefined;
    };
    if (cells.length > columns.length) {
      faults.push({
        line,
        column: `after ${columns.at(-1)}`,
        found: cells[columns.length] ?? "",
        expected: `${columns.length} cells, as the first line has`,
      });
    }
    const outcome = of("outcome", outcomeOf, { through: false, grade: null });
    const conditions: Partial<Record<PastCondition, number>> = {};
    const notes: Record<string, string> = {};
    columns.forEach((name, i) => {
      const cell = textOfCell(cells[i] ?? "").trim();
      if (isCondition(name)) {
        const value = of<number | null>(name, numberOf, null);
        if (value !== null) conditions[name] = value;
      } else if (name !== "" && cell !== "" && !PAST_COLUMNS.some((each) => each.name === name)) {
        notes[name.slice(0, 80)] = cell.slice(0, 500);
      }
    });
    const run = {
      run: of("run", words(40), ""),
      startedWall: of<number | null>("started_at", (cell) => momentOf(cell, local), null),
      material: of("material", words(80), ""),
      lot: of<string | null>("lot", words(40), null),
      block: of<string | null>("block", words(40), null),
      thickness_mm: of<number | null>("thickness_mm", within(0, 100), null),
      speed_mm_s: of("speed_mm_s", within(0, 2000), 0),
      power_pct: of("power_pct", within(0, 100), 0),
      passes: of("passes", whole, 1),
      ...outcome,
      ...{ conditions, notes },
    };
    const parsed = pastRunSchema.safeParse(run);
    if (faults.length === 0 && !parsed.success) {
      const [issue] = parsed.error.issues;
      faults.push({ line, column: String(issue?.path[0] ?? ""), found: "", expected: issue?.message ?? "" });
    }
    return { run: parsed.success ? parsed.data : null, faults };
  }
}

function checkHeader(header: readonly string[]): void {
  const missing = PAST_COLUMNS.filter(({ name, required }) => required && !header.includes(name));
  if (missing.length > 0) {
    throw new AppError(
      "import-refused",
      `The first line names the columns, and these are not there: ${missing.map(({ name }) => name).join(", ")}.`,
    );
  }
  const twice = header.find((name, i) => name !== "" && header.indexOf(name) !== i);
  if (twice !== undefined) throw new AppError("import-refused", `The column ${twice} is there twice.`);
}

/** The first line says what stands between cells. */
async function* rowsOf(text: AsyncIterable<string>): AsyncGenerator<CsvRow, void> {
  const pieces = text[Symbol.asyncIterator]();
  let head = "";
  while (!head.includes("\n")) {
    const next = await pieces.next();
    if (next.done === true) break;
    head += next.value;
  }
  const line = head.slice(0, head.includes("\n") ? head.indexOf("\n") : undefined);
  const count = (character: string) => line.split(character).length;
  async function* all() {
    yield head;
    yield* { [Symbol.asyncIterator]: () => pieces };
  }
  try {
    yield* csvRows(all(), count(";") > count(",") ? ";" : ",");
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    throw new AppError("import-refused", error.message);
  }
}
