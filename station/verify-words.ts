import { photosWords } from "./journal/backup/photos.js";
import { indexAtOdds } from "./journal/soundness/indexes.js";
import type { Noted, ReadingsReport } from "./journal/soundness/readings-report.js";
import type { VerifyReport } from "./verify.js";

/** Differences named of one run; the rest are counted. */
const MOST_NAMED = 8;

const STATION = "npm run station --";
const RESTORE = `put back a backup (${STATION} restore FILE)`;

/** The report for people: what was looked at, what is wrong, and what to do next. */
export function wordsOfVerification(report: VerifyReport): string {
  const lines = [`Journal: ${report.journal}`, ...fileLines(report)];
  if (report.readings !== null) lines.push(...readingLines(report.readings));
  if (report.photos !== null) lines.push(...photoLines(report.photos));
  lines.push(...runLines(report));
  return `${lines.join("\n")}\n`;
}

function fileLines({ damage, repair, indexes }: VerifyReport): string[] {
  const made =
    indexes.length === 0 ? [] : [`  ok  indexes were made anew from the records: ${indexes.join(", ")}`];
  if (damage.length === 0) return ["  ok  the file is sound", ...made];
  if (!repair && damage.every((words) => indexAtOdds(words) !== null)) {
    return [
      "  !!  indexes of the file have lost entries, so that some of what is recorded may not be found:",
      ...damage.map(detail),
      `      Next: start the station, which makes them anew, or do it now (${STATION} verify --repair). Nothing is lost.`,
    ];
  }
  return [
    "  !!  the file is damaged:",
    ...damage.map(detail),
    repair ? "      Nothing was mended: a damaged file is not written to." : "      Keep the file as it is.",
    `      Next: ${RESTORE}. Without one, export what can still be read (${STATION} export --help) and import it into`,
    "      a new journal.",
  ];
}

function photoLines({ missing, damaged }: NonNullable<VerifyReport["photos"]>): string[] {
  const lost = photosWords({ missing, damaged });
  if (lost === null) return ["  ok  all photos that are spoken of are there"];
  return [
    `  !!  ${lost}:`,
    ...[...missing, ...damaged].slice(0, MOST_NAMED).map((sha256) => `        ${sha256}.jpg`),
    `      Next: ${RESTORE} beside which they lie; it brings back photos that are missing or damaged.`,
  ];
}

function readingLines({ blocks, damaged, wrong, mended }: ReadingsReport): string[] {
  const lines: string[] = [];
  if (damaged.count === 0) lines.push(`  ok  all ${blocks} sealed blocks of readings can be read`);
  else {
    lines.push(
      `  !!  ${damaged.count} of ${blocks} sealed blocks of readings cannot be read:`,
      ...namedLines(damaged),
      `      Next: ${RESTORE} that has them. Without one, go on: all else is kept and shown. Export leaves off at such a`,
      "      block; with --to and --from, or --channel, it gives what lies on either side of it.",
    );
  }
  if (mended.count > 0)
    lines.push(`  ok  ${mended.count} rollups were repaired from the readings:`, ...namedLines(mended));
  if (wrong.count === 0) lines.push("  ok  the rollups that charts are drawn from are what the readings say");
  else {
    lines.push(
      `  !!  ${wrong.count} rollups that charts are drawn from are not what the readings say:`,
      ...namedLines(wrong),
      `      Next: stop the station and make them anew (${STATION} verify --repair). No reading is lost.`,
    );
  }
  return lines;
}

function runLines({ runs, agree, open, doubtful, unkept, unseen }: VerifyReport): string[] {
  if (unseen !== null) return [`  !!  could not be looked at: ${unseen}`];
  const lines = [
    `  ${doubtful.length === 0 ? "ok" : "!!"}  ${agree} of ${runs} stamps agree with the readings`,
  ];
  if (open > 0)
    lines.push(`      ${open} ${open === 1 ? "run has" : "runs have"} not ended and no stamp yet`);
  for (const { number } of unkept) {
    lines.push(
      `      run ${number}: its stamp cannot be recomputed. The disk was full, and its readings were never kept`,
    );
  }
  for (const { number, reason, differences: found } of doubtful) {
    lines.push(`  !!  run ${number}: ${reason ?? "its stamp is not what the readings give"}`);
    for (const { path, kept, again } of found.slice(0, MOST_NAMED)) {
      lines.push(`        ${path}: the stamp says ${kept}, the readings give ${again}`);
    }
    if (found.length > MOST_NAMED) lines.push(`        and ${found.length - MOST_NAMED} more`);
  }
  return lines;
}

function namedLines({ count, named }: Noted): string[] {
  const more = count - named.length;
  return [...named.map(detail), ...(more > 0 ? [`        and ${more} more`] : [])];
}

function detail(words: string): string {
  return `        ${words}`;
}
