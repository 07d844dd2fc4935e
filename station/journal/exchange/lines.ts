import { named, Refused } from "./refused.js";

/** Longest line that is read: a run with its stamp takes some thousand characters, a Pack of readings some ten thousand. */
const LONGEST_LINE = 4_000_000;

/** The text of a file in UTF-8, without a byte order mark. @throws Refused where it is not UTF-8 */
export async function* textOfFile(bytes: AsyncIterable<Uint8Array>): AsyncGenerator<string, void> {
  const decoder = new TextDecoder("utf-8", { fatal: true });
  let line = 1;
  const decode = (chunk?: Uint8Array): string => {
    try {
      return chunk === undefined ? decoder.decode() : decoder.decode(chunk, { stream: true });
    } catch {
      throw new Refused(line, "bytes that are not text (at this line or after it)", "text in UTF-8");
    }
  };
  for await (const chunk of bytes) {
    const text = decode(chunk);
    if (text !== "") yield text;
    line += text.split("\n").length - 1;
  }
  const last = decode();
  if (last !== "") yield last;
}

export interface Line {
  /** From 1. */
  readonly line: number;
  readonly text: string;
}

/** The lines of a text, without their ends; empty ones are passed over. @throws Refused for one without end */
export async function* linesOf(text: AsyncIterable<string>): AsyncGenerator<Line, void> {
  let rest = "";
  let line = 0;
  for await (const chunk of text) {
    const parts = (rest + chunk).split("\n");
    rest = parts.pop() ?? "";
    for (const part of parts) {
      line += 1;
      if (part.trim() !== "") yield { line, text: part };
    }
    if (rest.length > LONGEST_LINE) throw new Refused(line + 1, named(rest), "the end of the line");
  }
  if (rest.trim() !== "") yield { line: line + 1, text: rest };
}
