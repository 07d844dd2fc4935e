import type { Db } from "../../station/journal/database.js";
import { createReads } from "../../station/journal/reads.js";
import type { Series } from "../../station/model/now.js";
import { type BenchResult, quantile } from "./result.js";
import { BEGIN, SENSORS, type Span, seeded, seededSpan } from "./sealed-span.js";

const DAY = 86_400_000;
const POINTS = 1000;
const CHARTS = 200;
/** Before those that count, so that none waits for code to be compiled. */
const UNCOUNTED = 20;
const BUDGET_MS = 10;

/**
 * Size and speed of sealed readings: 30 days of three channels at 1 s (7.8 million readings; a year would be 94.6
 * million). Charts of a week and more are drawn from rollups, of which there are as many whatever the interval is: they
 * are asked of a year at 30 s and of ten years at 5 min.
 */
export async function benchSealed(): Promise<BenchResult[]> {
  return [
    ...over({ days: 30, everyMs: 1000, jitterMs: 0 }, (span) => [
      ...sizes(span, "30 days of three channels at 1 s"),
      ...sealingTimes(span),
      chart(span, "an hour of 30 days at 1 s", DAY / 24, 30 * DAY, BUDGET_MS),
      chart(span, "a day of 30 days at 1 s", DAY, 30 * DAY, BUDGET_MS),
      chart(span, "a week of 30 days at 1 s", 7 * DAY, 30 * DAY, BUDGET_MS),
      // Neither quarters nor minutes suit it well: the dearest of all.
      chart(span, "13 days of 30 days at 1 s", 13 * DAY, 30 * DAY, BUDGET_MS, null),
    ]),
    ...over({ days: 3, everyMs: 1000, jitterMs: 3 }, (span) => [
      {
        name: "sealed blocks of 3 days at 1 s with 3 ms jitter in the times",
        value: bytesOf(span.db, ["block"]) / sealedReadings(span.db),
        baseline: 0.35,
        against: "the budget without jitter",
        unit: "bytes/reading",
        bound: null,
      },
    ]),
    ...over({ days: 366, everyMs: 30_000, jitterMs: 0 }, (span) =>
      [7, 16, 31, 92, 200, 365].map((days) =>
        chart(span, `${days} days of a year at 30 s`, days * DAY, 366 * DAY, BUDGET_MS),
      ),
    ),
    ...over({ days: 3653, everyMs: 300_000, jitterMs: 0 }, (span) => [
      chart(span, "three years of ten at 5 min", 1000 * DAY, 3653 * DAY, 1.5 * BUDGET_MS),
      chart(span, "ten years at 5 min", 3652 * DAY, 3653 * DAY, 1.5 * BUDGET_MS),
    ]),
  ];
}

function over(
  options: Parameters<typeof seededSpan>[0],
  measure: (span: Span) => BenchResult[],
): BenchResult[] {
  const span = seededSpan(options);
  try {
    return measure(span);
  } finally {
    span.remove();
  }
}

function sealedReadings(db: Db): number {
  return db.prepare("SELECT sum(readings) FROM block").pluck().get() as number;
}

/** Whole pages of the file, by SQLite's own count (dbstat). */
function bytesOf(db: Db, tables: readonly string[]): number {
  return db
    .prepare("SELECT sum(pgsize) FROM dbstat WHERE name IN (SELECT value FROM json_each(?))")
    .pluck()
    .get(JSON.stringify(tables)) as number;
}

function sizes({ db }: Span, of: string): BenchResult[] {
  const readings = sealedReadings(db);
  const everything = [
    "block",
    "block_by_wall",
    "block_wide",
    "block_minutes",
    "rollup_page",
    "sqlite_autoindex_rollup_page_1",
    "sealed",
    "sealed_by_session",
  ];
  return [
    { name: `sealed blocks of ${of}`, value: bytesOf(db, ["block"]) / readings, budget: 0.35 },
    { name: `the same with rollups and indexes`, value: bytesOf(db, everything) / readings, budget: 0.45 },
  ].map(({ name, value, budget }) => ({
    name,
    value,
    baseline: budget,
    against: `the budget of ${budget}`,
    unit: "bytes/reading",
    bound: { atMost: 1 },
  }));
}

function sealingTimes({ sealed, longestStep }: Span): BenchResult[] {
  const against = { baseline: BUDGET_MS, against: `the budget of ${BUDGET_MS} ms`, unit: "ms" } as const;
  const hour = "an hour of a channel at 1 s sealed";
  const wait = "the longest a commit could have waited for a step of sealing, checkpoint and all";
  return [
    { name: `${hour}, median`, value: quantile(sealed, 0.5), ...against, bound: { atMost: 1 } },
    { name: `${hour}, p99`, value: quantile(sealed, 0.99), ...against, bound: null },
    { name: wait, value: longestStep, ...against, bound: null },
  ];
}

/** Three channels, one after another, each of 1,000 points at most, at a place drawn by lot. */
function chart(
  { db }: Span,
  of: string,
  spanMs: number,
  allMs: number,
  budget: number,
  bound: BenchResult["bound"] = { atMost: 1 },
): BenchResult {
  const reads = createReads(db);
  const random = seeded(2);
  const took: number[] = [];
  let points = 0;
  for (let i = 0; i < UNCOUNTED + CHARTS; i++) {
    const from = BEGIN + Math.floor(random() * (allMs - spanMs));
    const since = performance.now();
    for (const { id } of SENSORS) {
      const series = reads.series({ channel: id, from, to: from + spanMs, buckets: POINTS }) as Series;
      points = series.buckets.length;
    }
    if (i >= UNCOUNTED) took.push(performance.now() - since);
  }
  const median = quantile(took, 0.5).toFixed(1);
  return {
    name: `chart of ${of}, three channels, ${points} points, p99 of ${CHARTS} (median ${median} ms)`,
    value: quantile(took, 0.99),
    baseline: budget,
    against: `the budget of ${budget} ms`,
    unit: "ms",
    bound,
  };
}
