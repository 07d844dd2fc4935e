import { type CarriedReading, judgedValue, kindOf, type ReadReading, unitOf } from "./carried.js";
import { type CsvRow, csvRow, textCell, textOfCell } from "./csv.js";
import { named, Refused } from "./refused.js";

export const READING_COLUMNS = [
  "time",
  "monotonic_ms",
  "boot",
  "session",
  "channel",
  "name",
  "kind",
  "unit",
  "value",
  "quality",
  "reason",
  "simulated",
] as const;

export function readingRow({ session, channel, reading }: CarriedReading): string {
  return csvRow([
    new Date(reading.at.wall).toISOString(),
    String(reading.at.mono),
    textCell(session.bootId),
    textCell(session.start),
    textCell(reading.channel),
    textCell(channel?.name ?? ""),
    channel?.kind ?? "",
    channel?.unit ?? "",
    reading.value === null ? "" : String(reading.value),
    reading.quality,
    reading.reason ?? "",
    String(session.simulated),
  ]);
}

const TIME = /^[+-]?\d{4,6}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$/;
const NUMBER = /^-?\d+(\.\d+)?([eE][+-]?\d+)?$/;
const WHOLE = /^\d{1,16}$/;

type Column = (typeof READING_COLUMNS)[number];
const PLACES = Object.fromEntries(READING_COLUMNS.map((column, i) => [column, i])) as Readonly<
  Record<Column, number>
>;

/** @throws Refused */
export function readingOfRow({ line, cells }: CsvRow): ReadReading {
  if (cells.length !== READING_COLUMNS.length) {
    throw new Refused(line, `${cells.length} cells`, `${READING_COLUMNS.length}`);
  }
  const cell = (column: Column) => cells[PLACES[column]] ?? "";
  const text = (column: Column, what: string) => {
    if (cell(column) === "") throw new Refused(line, "nothing", what);
    return textOfCell(cell(column));
  };
  const wall = TIME.test(cell("time")) ? Date.parse(cell("time")) : Number.NaN;
  if (Number.isNaN(wall)) {
    throw new Refused(line, named(cell("time")), "a time in UTC such as 2026-05-04T09:30:00.000Z");
  }
  if (!WHOLE.test(cell("monotonic_ms"))) {
    throw new Refused(line, named(cell("monotonic_ms")), "whole milliseconds");
  }
  const value = cell("value");
  if (value !== "" && !(NUMBER.test(value) && Number.isFinite(Number(value)))) {
    throw new Refused(line, named(value), "a number with a decimal point, or nothing");
  }
  const simulated = cell("simulated");
  if (simulated !== "true" && simulated !== "false") {
    throw new Refused(line, named(simulated), "true or false");
  }
  const kind = cell("kind");
  return {
    line,
    session: {
      start: text("session", "the session"),
      bootId: text("boot", "the boot"),
      simulated: simulated === "true",
    },
    channel:
      kind === ""
        ? null
        : { name: textOfCell(cell("name")), kind: kindOf(line, kind), unit: unitOf(line, cell("unit")) },
    reading: {
      channel: text("channel", "the id of a channel"),
      at: { wall, mono: Number(cell("monotonic_ms")) },
      ...judgedValue(line, value === "" ? null : Number(value), cell("quality"), cell("reason")),
    },
  };
}
