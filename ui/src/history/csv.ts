import type { Series } from "../../../station/model/now.js";
import { unitLabel } from "../words/number.js";

export interface NamedSeries {
  readonly name: string;
  readonly series: Series;
}

/** A field as RFC 4180 has it: in quotes where it holds a comma, a quote or a line break, with quotes doubled. */
function field(text: string): string {
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/** Ten significant digits: more than any sensor has, without the last digits' noise of a mean. */
function numeral(value: number | null): string {
  return value === null ? "" : String(Number(value.toPrecision(10)));
}

/**
 * The buckets that are shown, one a row, in the form of RFC 4180 with a header. Times are the buckets' starts, ISO 8601 in UTC.
 * A bucket without a value has empty fields; how many readings were bad is only there where the station knows it.
 */
export function csvOf(shown: readonly NamedSeries[]): string {
  const columns = shown.map(({ name, series }) => ({
    head: series.unit === "state" ? name : `${name} (${unitLabel(series.unit)})`,
    byTime: new Map(series.buckets.map((bucket) => [bucket.t, bucket])),
    withBad: series.buckets.some(({ bad }) => bad !== undefined),
  }));
  const times = [...new Set(shown.flatMap(({ series }) => series.buckets.map(({ t }) => t)))].sort(
    (a, b) => a - b,
  );
  const header = [
    "time",
    ...columns.flatMap(({ head, withBad }) => [
      `${head} min`,
      `${head} mean`,
      `${head} max`,
      ...(withBad ? [`${head} bad readings`] : []),
    ]),
  ];
  const rows = times.map((t) => [
    new Date(t).toISOString(),
    ...columns.flatMap(({ byTime, withBad }) => {
      const bucket = byTime.get(t);
      const values = [bucket?.min, bucket?.mean, bucket?.max].map((value) => numeral(value ?? null));
      return withBad ? [...values, String(bucket?.bad ?? "")] : values;
    }),
  ]);
  return [header, ...rows].map((row) => `${row.map(field).join(",")}\r\n`).join("");
}
