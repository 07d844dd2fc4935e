import { BoardDecoder } from "../../../station/sources/serial/parse.js";

const NOW = { wall: 1_700_000_000_000, mono: 1_000_000 };

/** What the station makes of one line: a number by its point, or the word of its fault. A doubted number is in brackets. */
export function pointsOf(line: string): Readonly<Record<string, number | string>> {
  const { readings, frames, dropped } = new BoardDecoder().push(new TextEncoder().encode(`${line}\n`), NOW);
  if (frames !== 1 || Object.keys(dropped).length > 0)
    throw new Error(`the station drops this line: ${line}`);
  return Object.fromEntries(
    readings.map((reading) => {
      if ("fault" in reading) return [reading.point, reading.fault];
      return [reading.point, reading.doubt === undefined ? reading.value : `(${reading.value})`];
    }),
  );
}

export function sequenceOf(line: string): number {
  return Number(/"seq","v":(\d+)\}\]\*/.exec(line)?.[1] ?? Number.NaN);
}

/** A line of every second, in contrast to one that tells of an edge alone. */
export function isWhole(line: string): boolean {
  return line.includes('"coolant-in"');
}
