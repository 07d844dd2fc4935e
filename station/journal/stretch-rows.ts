import type { Db } from "./database.js";
import { ROW_CELLS, type RowCells, reasonNumber, rowNumber } from "./stretch-sums.js";

/** Rows of readings as columns, in the order of their ids. */
export interface RowColumns {
  readonly id: readonly number[];
  readonly channel: readonly number[];
  readonly wall: readonly number[];
  readonly mono: readonly number[];
  /** NaN where there is none. */
  readonly value: readonly number[];
  readonly quality: readonly number[];
  /** By the id of the row; most have none. */
  readonly reason: ReadonlyMap<number, string>;
}

export interface StretchRows {
  /**
   * The rows of a span of ids, both ends included, where they are as they were written.
   * @param due what the numbers of its rows add up to
   * @returns null where the rows that are there add up to something else
   */
  sound(first: number, last: number, due: number): RowColumns | null;
  /** What the numbers of the rows of a span add up to, the fast way; null where there is none. */
  sum(first: number, last: number): number | null;
}

type Texts = readonly [id: string, wall: string, mono: string, value: string, marks: string, reasons: number];
/** More than there are, to put one into a number with its channel. */
const QUALITIES = 4;

/**
 * Rows come out of SQLite twice as fast as one text of numbers for each column, which is parsed at once, as they do one
 * by one. Whether the texts gave every double to its last bit the sum tells: where they do not agree the rows are read one by
 * one, and only where these do not agree either are they not what was written.
 */
export function createStretchRows(db: Db): StretchRows {
  const where = "FROM reading WHERE id BETWEEN ? AND ?";
  const texts = db
    .prepare<[number, number], Texts>(
      `SELECT json_group_array(id), json_group_array(wall), json_group_array(mono), json_group_array(value),
         json_group_array(channel * ${QUALITIES} + quality), count(reason)
       FROM (SELECT id, channel, wall, mono, value, quality, reason ${where} ORDER BY id)`,
    )
    .raw();
  const cells = db.prepare<[number, number], RowCells>(`SELECT ${ROW_CELLS} ${where} ORDER BY id`).raw();
  const reasons = db
    .prepare<[number, number], [number, string]>(`SELECT id, reason ${where} AND reason IS NOT NULL`)
    .raw();

  /** Null where something in the rows is no number. */
  function atOnce(first: number, last: number): RowColumns | null {
    try {
      const [ids, walls, monos, values, marks, reasoned] = texts.get(first, last) as Texts;
      const mark = JSON.parse(marks) as number[];
      return {
        id: JSON.parse(ids) as number[],
        channel: mark.map((m) => Math.floor(m / QUALITIES)),
        wall: JSON.parse(walls) as number[],
        mono: JSON.parse(monos) as number[],
        value: (JSON.parse(values) as (number | null)[]).map((value) => value ?? Number.NaN),
        quality: mark.map((m) => m % QUALITIES),
        reason: reasoned === 0 ? new Map() : new Map(reasons.all(first, last)),
      };
    } catch {
      return null;
    }
  }

  function oneByOne(first: number, last: number): RowColumns {
    const rows = cells.all(first, last);
    return {
      id: rows.map(([id]) => id),
      channel: rows.map(([, channel]) => channel),
      wall: rows.map(([, , wall]) => wall),
      mono: rows.map(([, , , mono]) => mono),
      value: rows.map(([, , , , value]) => value ?? Number.NaN),
      quality: rows.map(([, , , , , quality]) => quality),
      reason: new Map(rows.flatMap(([id, , , , , , reason]) => (reason === null ? [] : [[id, reason]]))),
    };
  }

  return {
    sound(first, last, due) {
      const fast = atOnce(first, last);
      if (fast !== null && sumOf(fast) === due) return fast;
      const exact = oneByOne(first, last);
      return sumOf(exact) === due ? exact : null;
    },
    sum(first, last) {
      const fast = atOnce(first, last);
      return fast === null ? null : sumOf(fast);
    },
  };
}

function sumOf({ id, channel, wall, mono, value, quality, reason }: RowColumns): number {
  let sum = 0;
  for (let i = 0; i < id.length; i++) {
    const row = id[i] as number;
    sum += rowNumber(
      row,
      channel[i] as number,
      wall[i] as number,
      mono[i] as number,
      value[i] as number,
      quality[i] as number,
      reason.size === 0 ? 0 : reasonNumber(reason.get(row) ?? null),
    );
  }
  return sum;
}
