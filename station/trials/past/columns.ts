import { PAST_CONDITIONS, type PastColumn, type PastCondition } from "../../model/past-run.js";

export interface Outcome {
  readonly through: boolean;
  readonly grade: number | null;
}

const OUTCOMES: Readonly<Record<string, Outcome>> = {
  "fell out": { through: true, grade: 0 },
  finger: { through: true, grade: 1 },
  force: { through: false, grade: 2 },
  stayed: { through: false, grade: 3 },
  through: { through: true, grade: null },
  good: { through: true, grade: null },
  "not through": { through: false, grade: null },
  bad: { through: false, grade: null },
};

/** The columns of the spreadsheet, in the order of the guide; any others are kept as notes. */
export const PAST_COLUMNS: readonly PastColumn[] = [
  { name: "run", required: true, expected: "a name or number of the run, at most 40 characters" },
  {
    name: "started_at",
    required: false,
    expected: "a day and time as 2026-05-04T14:30, local unless a zone follows (Z, +02:00)",
  },
  { name: "material", required: true, expected: "what was cut, at most 80 characters" },
  { name: "lot", required: false, expected: "the lot of sheets, at most 40 characters" },
  {
    name: "block",
    required: false,
    expected: "what was cut in one go under one setting-up, at most 40 characters",
  },
  { name: "thickness_mm", required: false, expected: "a number above 0, up to 100" },
  { name: "speed_mm_s", required: true, expected: "a number above 0, up to 2000" },
  { name: "power_pct", required: true, expected: "a number above 0, up to 100" },
  { name: "passes", required: false, expected: "a whole number from 1 to 50; 1 where the cell is empty" },
  { name: "outcome", required: true, expected: `one of: ${Object.keys(OUTCOMES).join(", ")}` },
  ...Object.entries(PAST_CONDITIONS).map(([name, what]) => ({
    name,
    required: false,
    expected: `a number, ${what}`,
  })),
];

export function isCondition(name: string): name is PastCondition {
  return Object.hasOwn(PAST_CONDITIONS, name);
}

export function outcomeOf(cell: string): Outcome | undefined {
  const word = cell.toLowerCase().replace(/[\s_-]+/g, " ");
  return Object.hasOwn(OUTCOMES, word) ? OUTCOMES[word] : undefined;
}

/** A number with a point or a comma before its decimals, and no others. */
export function numberOf(cell: string): number | undefined {
  return /^[+-]?\d{1,12}([.,]\d{1,20})?$/.test(cell) ? Number(cell.replace(",", ".")) : undefined;
}

const TIME =
  /^(\d{4})-(\d{2})-(\d{2})(?:[T ](\d{2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?)?(Z|[+-]\d{2}:?\d{2})?$/;
const DAYS = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/**
 * Wall milliseconds.
 * @param local milliseconds of a moment of local time, its parts as `Date.UTC` takes them
 */
export function momentOf(cell: string, local: (...parts: Parts) => number): number | undefined {
  const found = TIME.exec(cell);
  if (found === null) return undefined;
  const [year, month, day, hour, minute, second] = found
    .slice(1, 7)
    .map((part) => Number(part ?? 0)) as Parts;
  const isLeap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  const days = month === 2 && !isLeap ? 28 : (DAYS[month - 1] ?? 0);
  if (day < 1 || day > days || hour > 23 || minute > 59 || second > 59) return undefined;
  const parts: Parts = [year, month - 1, day, hour, minute, second];
  const zone = found[7];
  if (zone === undefined) return local(...parts);
  return Date.UTC(...parts) - offsetMs(zone);
}
type Parts = [number, number, number, number, number, number];

function offsetMs(zone: string): number {
  if (zone === "Z") return 0;
  const digits = zone.replace(":", "");
  const minutes = Number(digits.slice(1, 3)) * 60 + Number(digits.slice(3, 5));
  return (digits.startsWith("-") ? -1 : 1) * minutes * 60_000;
}
