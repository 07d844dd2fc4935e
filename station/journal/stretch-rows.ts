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
  /** What the numbers of the rows of a span add up to; 0 where there is none. */
  sum(first: number, last: number): number;
}

interface Gathering {
  readonly id: number[];
  readonly channel: number[];
  readonly wall: number[];
  readonly mono: number[];
  readonly value: number[];
  readonly quality: number[];
  readonly reason: Map<number, string>;
}

/** Where `take_row` puts what it is called with: a question of SQLite is answered before the next is asked. */
let gathering: Gathering | null = null;

/** Gives a connection what `createStretchRows` needs. */
export function defineStretchRows(db: Db): void {
  db.function("take_row", { varargs: true, directOnly: true }, (...row: unknown[]) => {
    if (gathering === null) return 0;
    const [id, channel, wall, mono, value, quality, reason] = row as unknown as RowCells;
    gathering.id.push(Number(id));
    gathering.channel.push(Number(channel));
    gathering.wall.push(Number(wall));
    gathering.mono.push(Number(mono));
    gathering.value.push(value === null ? Number.NaN : Number(value));
    gathering.quality.push(Number(quality));
    if (reason !== null) gathering.reason.set(id, reason);
    return 0;
  });
}

/** Rows come out of SQLite three times as fast by a function that it calls with each as they do one by one. */
export function createStretchRows(db: Db): StretchRows {
  const rows = db.prepare<[number, number]>(
    `SELECT count(take_row(${ROW_CELLS})) FROM reading WHERE id BETWEEN ? AND ?`,
  );

  function gathered(first: number, last: number): RowColumns {
    const into: Gathering = {
      ...{ id: [], channel: [], wall: [], mono: [], value: [], quality: [], reason: new Map() },
    };
    gathering = into;
    try {
      rows.get(first, last);
    } finally {
      gathering = null;
    }
    return into;
  }

  return {
    sound(first, last, due) {
      const found = gathered(first, last);
      return sumOf(found) === due ? found : null;
    },
    sum: (first, last) => sumOf(gathered(first, last)),
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
