import { Refused } from "./refused.js";

/** Comma-separated values: RFC 4180. */

const LINE_END = "\r\n";
const NEEDS_QUOTES = /[",\r\n]/;
/** Longest cell that is read; the longest text that the station takes has 500 characters. */
const LONGEST_CELL = 100_000;

/** A row with its line end; a cell is quoted where it must be (RFC 4180 section 2, rules 5 to 7). */
export function csvRow(cells: readonly string[]): string {
  return cells.map(quoted).join(",") + LINE_END;
}

function quoted(cell: string): string {
  return NEEDS_QUOTES.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell;
}

/**
 * Spreadsheets take a cell that begins with one of these as a formula, wherever it came from, and RFC 4180 says nothing of
 * it. OWASP ("CSV Injection", from memory) names = + - @, tab and carriage return, and the full-width forms of the four,
 * and advises an apostrophe before them. The apostrophe itself is in the list so that it can be taken away again without
 * loss: what begins with one in the file always had one put before it.
 */
const GUARDED = /^[=+\-@\t\r\n＝＋－＠']/;

/** A cell of text, which may have been typed by a person. Numbers and times are written as they are: -5 is a number. */
export function textCell(text: string): string {
  return GUARDED.test(text) ? `'${text}` : text;
}

/** What `textCell` was given. */
export function textOfCell(cell: string): string {
  return cell.startsWith("'") ? cell.slice(1) : cell;
}

export interface CsvRow {
  /** Line of the file on which it begins, from 1. */
  readonly line: number;
  readonly cells: readonly string[];
}

type State = "cell begins" | "bare" | "in quotes" | "quote in quotes" | "after CR";

/**
 * The rows of a CSV text. Some spreadsheets write a semicolon between cells (common practice, no source). A line may end with LF alone, as some programs write it. @throws Refused for a quote in a cell
 * that does not begin with one, for text behind a closing quote, for a lone CR, and for a quote that is never closed
 */
export async function* csvRows(
  text: AsyncIterable<string>,
  separator: "," | ";" = ",",
): AsyncGenerator<CsvRow, void> {
  let state: State = "cell begins";
  let cells: string[] = [];
  let cell = "";
  let line = 1;
  let began = 1;

  const closeCell = () => {
    cells.push(cell);
    cell = "";
    state = "cell begins";
  };
  const closeRow = (): CsvRow => {
    closeCell();
    const row = { line: began, cells };
    cells = [];
    began = line;
    return row;
  };

  for await (const chunk of text) {
    for (const character of chunk) {
      if (cell.length > LONGEST_CELL) throw new Refused(began, "a cell without end", "its closing quote");
      if (character === "\n") line += 1;
      if (state === "in quotes") {
        if (character === '"') state = "quote in quotes";
        else cell += character;
      } else if (state === "after CR") {
        if (character !== "\n") throw new Refused(line, "a lone CR", "CR and LF at the end of a line");
        yield closeRow();
      } else if (character === separator) closeCell();
      else if (character === "\r") state = "after CR";
      else if (character === "\n") yield closeRow();
      else if (character === '"' && state === "cell begins") state = "in quotes";
      else if (character === '"' && state === "quote in quotes") {
        cell += character;
        state = "in quotes";
      } else if (character === '"' || state === "quote in quotes") {
        throw new Refused(
          line,
          `"${character}" in a cell`,
          "a cell that is quoted as a whole, or not at all",
        );
      } else {
        cell += character;
        state = "bare";
      }
    }
  }
  if (state === "in quotes") throw new Refused(began, "a quote that is never closed", "its closing quote");
  if (cells.length > 0 || state !== "cell begins") yield closeRow();
}
