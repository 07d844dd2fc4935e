import { eachRow } from "./journal/pages.js";
import { type JournalReader, openReader } from "./journal/reader.js";
import { keptRules } from "./kept-rules.js";
import { type Difference, differences } from "./trials/differences.js";
import { rulesOf } from "./trials/past-rules.js";
import { restamp } from "./trials/recover.js";
import { folderOfCall, JOURNAL_OPTIONS, print, type Verb } from "./verb.js";

/** A run whose stamp is not what its readings give. */
export interface DoubtfulRun {
  readonly number: number;
  readonly id: string;
  /** Why it could not be worked out again; null where it could, and differs. */
  readonly reason: string | null;
  readonly differences: readonly Difference[];
}

export interface VerifyReport {
  readonly ok: boolean;
  readonly journal: string;
  /** What SQLite's quick check finds wrong with the file; empty if nothing. */
  readonly damage: readonly string[];
  /** Ended runs looked at, and those whose stamp was worked out again to the same. */
  readonly runs: number;
  readonly agree: number;
  /** Runs that have not ended and so have no stamp. */
  readonly open: number;
  readonly doubtful: readonly DoubtfulRun[];
}

/** The part of the journal's reading side that is needed here. */
export type VerifyReader = Pick<
  JournalReader,
  "integrity" | "definitions" | "changesAfter" | "runsAfter" | "lastReadingsBefore" | "readingsForReplay"
>;

/** Checks the file, and works every ended run's stamp out again from the readings by the rules of its time. */
export async function verifyJournal(reader: VerifyReader, journal: string): Promise<VerifyReport> {
  const damage = await reader.integrity();
  const rules = await keptRules(reader);
  const doubtful: DoubtfulRun[] = [];
  let runs = 0;
  let open = 0;
  for await (const { session, run } of eachRow(reader.runsAfter, (row) => row.run.number)) {
    if (run.stamp === null) {
      open += 1;
      continue;
    }
    runs += 1;
    const { number, id } = run;
    const ofItsTime = rulesOf(run, session, rules);
    if (ofItsTime === null) {
      const reason = "the journal does not hold what its channels were at that time";
      doubtful.push({ number, id, reason, differences: [] });
      continue;
    }
    const found = differences(run.stamp, await restamp(run, reader, ofItsTime));
    if (found.length > 0) doubtful.push({ number, id, reason: null, differences: found });
  }
  const ok = damage.length === 0 && doubtful.length === 0;
  return { ok, journal, damage, runs, agree: runs - doubtful.length, open, doubtful };
}

/** Differences named of one run; the rest are counted. */
const MOST_NAMED = 8;

/** The report for people. */
export function wordsOfVerification(report: VerifyReport): string {
  const { journal, damage, runs, agree, open, doubtful } = report;
  const lines = [`Journal: ${journal}`];
  if (damage.length === 0) lines.push("  ok  the file is sound");
  else lines.push("  !!  the file is damaged: put back a backup", ...damage.map((each) => `        ${each}`));
  lines.push(`  ${agree === runs ? "ok" : "!!"}  ${agree} of ${runs} stamps agree with the readings`);
  if (open > 0)
    lines.push(`      ${open} ${open === 1 ? "run has" : "runs have"} not ended and no stamp yet`);
  for (const { number, reason, differences: found } of doubtful) {
    lines.push(`  !!  run ${number}: ${reason ?? "its stamp is not what the readings give"}`);
    for (const { path, kept, again } of found.slice(0, MOST_NAMED)) {
      lines.push(`        ${path}: the stamp says ${kept}, the readings give ${again}`);
    }
    if (found.length > MOST_NAMED) lines.push(`        and ${found.length - MOST_NAMED} more`);
  }
  return `${lines.join("\n")}\n`;
}

export const verifyVerb: Verb = {
  help: `  verify           whether the journal is sound and every stamp agrees with the readings it was made of
`,
  options: JOURNAL_OPTIONS,
  operands: 0,
  async run(call) {
    const folder = await folderOfCall(call);
    const reader = openReader({ folder });
    try {
      const report = await verifyJournal(reader, folder);
      print(call.json ? `${JSON.stringify(report)}\n` : wordsOfVerification(report));
      return report.ok ? 0 : 1;
    } finally {
      await reader.close();
    }
  },
};
