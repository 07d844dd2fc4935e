import { setImmediate } from "node:timers/promises";

/** Rows between two pauses: some milliseconds on a small board. */
const ROWS = 50;

/** Lets whatever waits go first, every so many rows: an alarm must not wait for a spreadsheet. @param row counted from 1 */
export async function pause(row: number): Promise<void> {
  if (row % ROWS === 0) await setImmediate();
}

/** As `map`, with pauses. */
export async function eachWithPauses<T, R>(items: readonly T[], make: (item: T) => R): Promise<R[]> {
  const made: R[] = [];
  for (const item of items) {
    made.push(make(item));
    await pause(made.length);
  }
  return made;
}
