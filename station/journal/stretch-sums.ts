import { type Columns, REASON_CODES } from "./columns.js";
import { crc32 } from "./crc32.js";
import type { Db } from "./database.js";

/**
 * A checksum of the rows of a stretch that costs no byte a row: the sum of a number worked out from each row and its id.
 * A commit adds those of its rows, and whoever has looked at a stretch needs to look only at what has come since.
 */

const cells = new Float64Array(5);
const words = new Uint32Array(cells.buffer);
const GOLDEN = 0x9e3779b1;

/**
 * 0 to 2³² − 1, from every bit of the row: each word is mixed in by a multiplication with an odd number and a shift. Not for
 * keeping anything secret.
 * @param value NaN where there is none
 * @param reason as `reasonNumber` has it
 */
export function rowNumber(
  id: number,
  channel: number,
  wall: number,
  mono: number,
  value: number,
  quality: number,
  reason: number,
): number {
  const none = Number.isNaN(value);
  cells[0] = id;
  cells[1] = wall;
  cells[2] = mono;
  // SQLite keeps no sign of a zero.
  cells[3] = none ? 0 : value + 0;
  cells[4] = channel * 8 + quality * 2 + (none ? 1 : 0);
  let mixed = reason;
  for (let i = 0; i < 10; i++) {
    mixed = Math.imul(mixed ^ (words[i] as number), GOLDEN);
    mixed ^= mixed >>> 15;
  }
  return mixed >>> 0;
}

const reasonNumbers = new Map<string, number>();

/** By the word, which is what the file holds. */
export function reasonNumber(reason: string | null): number {
  if (reason === null) return 0;
  let known = reasonNumbers.get(reason);
  if (known === undefined) {
    // Of a damaged row it may be anything: then its sum does not agree, and no more is wanted.
    known = crc32(Buffer.from(String(reason)));
    // A damaged file may hold any number of words.
    if (reasonNumbers.size < 1000) reasonNumbers.set(reason, known);
  }
  return known;
}

/** By the code in columns: 0 for none, else one more than the place in `REASON_CODES`. */
const NUMBER_OF_CODE = [0, ...REASON_CODES.map(reasonNumber)];

export const ROW_CELLS = "id, channel, wall, mono, value, quality, reason";
/** Those of a row as SQLite gives them. */
export type RowCells = readonly [
  id: number,
  channel: number,
  wall: number,
  mono: number,
  value: number | null,
  quality: number,
  reason: string | null,
];

export function numberOfRow([id, channel, wall, mono, value, quality, reason]: RowCells): number {
  return rowNumber(id, channel, wall, mono, value ?? Number.NaN, quality, reasonNumber(reason));
}

/**
 * What the readings from place `from` up to, not including, `to` add to the sum of their stretch.
 * @param firstId the id of the reading at place 0
 * @param numbers the channels' numbers, as `columns.channels` has their ids
 */
export function sumOfColumns(
  columns: Columns,
  from: number,
  to: number,
  firstId: number,
  numbers: readonly number[],
): number {
  const { channel, wall, mono, value, quality, reason } = columns;
  let sum = 0;
  for (let i = from; i < to; i++) {
    sum += rowNumber(
      firstId + i,
      numbers[channel[i] as number] as number,
      wall[i] as number,
      mono[i] as number,
      value[i] as number,
      quality[i] as number,
      NUMBER_OF_CODE[reason[i] as number] ?? 0,
    );
  }
  return sum;
}

/** The sum of the rows of a stretch as they lie there, in SQL. */
export const SUM_OF_ROWS = `(SELECT coalesce(sum(row_number_of(${ROW_CELLS})), 0) FROM reading
  WHERE id BETWEEN first_id AND last_id)`;

/** Gives a connection what `SUM_OF_ROWS` and the trigger need. */
export function defineStretchSums(db: Db): void {
  db.function("row_number_of", { varargs: true, deterministic: true }, (...row: unknown[]) =>
    numberOfRow(row as unknown as RowCells),
  );
}

/** On the connection that writes: a row that is changed later stays in the sum, as where a clock turns out to have been wrong. */
export function keepStretchSums(db: Db): void {
  const of = (which: string) =>
    ROW_CELLS.split(", ")
      .map((column) => `${which}.${column}`)
      .join(", ");
  db.exec(
    `CREATE TEMP TRIGGER reading_updated AFTER UPDATE ON main.reading
     BEGIN UPDATE stretch SET sum = sum - row_number_of(${of("OLD")}) + row_number_of(${of("NEW")})
       WHERE first_id = (SELECT max(first_id) FROM stretch WHERE first_id <= NEW.id); END`,
  );
}
