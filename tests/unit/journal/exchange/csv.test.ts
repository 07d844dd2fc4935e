import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type CsvRow,
  csvRow,
  csvRows,
  textCell,
  textOfCell,
} from "../../../../station/journal/exchange/csv.js";

async function rowsOf(...chunks: readonly string[]): Promise<CsvRow[]> {
  async function* pieces() {
    yield* chunks;
  }
  const rows: CsvRow[] = [];
  for await (const row of csvRows(pieces())) rows.push(row);
  return rows;
}

const cellsOf = async (...chunks: readonly string[]) => (await rowsOf(...chunks)).map(({ cells }) => cells);

// The examples of RFC 4180 section 2, copied from its text (from memory), rule by rule.
describe("the rules of RFC 4180", () => {
  const twoRows = [
    ["aaa", "bbb", "ccc"],
    ["zzz", "yyy", "xxx"],
  ];

  it("1 and 2: a record to a line, with or without a line end after the last", async () => {
    expect(await cellsOf("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n")).toEqual(twoRows);
    expect(await cellsOf("aaa,bbb,ccc\r\nzzz,yyy,xxx")).toEqual(twoRows);
  });

  it("4: spaces are part of a field, and an empty one is one", async () => {
    expect(await cellsOf("aaa, bbb ,\r\n")).toEqual([["aaa", " bbb ", ""]]);
  });

  it("5: a field may be in quotes or not", async () => {
    expect(await cellsOf('"aaa","bbb","ccc"\r\nzzz,yyy,xxx')).toEqual(twoRows);
  });

  it("6: line ends, quotes and commas within quotes", async () => {
    expect(await cellsOf('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx')).toEqual([
      ["aaa", "b\r\nbb", "ccc"],
      ["zzz", "yyy", "xxx"],
    ]);
  });

  it("7: a quote in a quoted field is doubled", async () => {
    expect(await cellsOf('"aaa","b""bb","ccc"')).toEqual([["aaa", 'b"bb', "ccc"]]);
    expect(csvRow(["aaa", 'b"bb', "ccc"])).toBe('aaa,"b""bb",ccc\r\n');
  });
});

describe("CSV", () => {
  const anyCell = fc.oneof(
    fc.string({ unit: "binary", maxLength: 12 }),
    fc.string({ unit: fc.constantFrom('"', ",", "\r", "\n", "'", "=", "-", "a", "Ä", "😀"), maxLength: 12 }),
  );

  it("reads back whatever was written, however it is cut in pieces", async () => {
    const table = fc.array(fc.array(anyCell, { minLength: 1, maxLength: 5 }), { minLength: 1, maxLength: 6 });
    await fc.assert(
      fc.asyncProperty(table, fc.integer({ min: 1, max: 9 }), async (rows, size) => {
        // A lone surrogate does not come through UTF-8, and a row of one empty cell is an empty line.
        fc.pre(rows.flat().every((cell) => Buffer.from(cell).toString() === cell));
        const text = [...rows.map(csvRow).join("")];
        const pieces: string[] = [];
        for (let i = 0; i < text.length; i += size) pieces.push(text.slice(i, i + size).join(""));
        expect(await cellsOf(...pieces)).toEqual(rows);
      }),
    );
  });

  it("takes lines that end with LF alone, and counts every line", async () => {
    expect(await rowsOf('a,"b\nc"\n', "d,e\n")).toEqual([
      { line: 1, cells: ["a", "b\nc"] },
      { line: 3, cells: ["d", "e"] },
    ]);
  });

  it.each([
    ['a,b\r\nc,d"e\r\n', 'line 2: found """ in a cell'],
    ['a,b\r\n"c"d,e\r\n', 'line 2: found "d" in a cell'],
    ["a,b\r\n\r\nc\rd\r\n", "line 3: found a lone CR"],
    ['a,b\r\nc,"d\r\ne\r\n', "line 2: found a quote that is never closed"],
  ])("refuses %j with the line", async (text, words) => {
    await expect(rowsOf(text)).rejects.toThrow(words);
  });
});

describe("a cell of text", () => {
  const unfit = ["=1+1", "+49 123", "-", "@SUM(A1)", "\tx", "\rx", "＝1", "'=1", "'", "''"];

  it.each(unfit)("that begins as %j does is no formula to a spreadsheet, and comes back", (text) => {
    expect(textCell(text)).toBe(`'${text}`);
    expect(textOfCell(textCell(text))).toBe(text);
  });

  it("of any kind comes back, and never begins as a formula does", () => {
    fc.assert(
      fc.property(fc.oneof(fc.string({ unit: "binary" }), fc.constantFrom(...unfit)), (text) => {
        expect(textOfCell(textCell(text))).toBe(text);
        expect(textCell(text)).not.toMatch(/^[=+\-@\t\r＝＋－＠]/);
      }),
    );
  });

  it("that needs no care is left as it is", () => {
    expect(textCell("birch plywood 3 mm")).toBe("birch plywood 3 mm");
    expect(textCell("")).toBe("");
  });
});
