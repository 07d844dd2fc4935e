import { AppError } from "../../errors.js";
import type { ChannelDefinition } from "../../model/channel.js";
import type { Run } from "../../model/run.js";
import { eachRow } from "../pages.js";
import type { JournalReader } from "../reader.js";
import type { KeptClockStep, KeptSession } from "../reader-calls.js";
import { csvRow } from "./csv.js";
import { type Span, type Tally, within } from "./export-readings.js";
import { ALARM_COLUMNS, alarmRow, RUN_COLUMNS, runRow } from "./log-csv.js";
import { recordLine, recordsHead } from "./record-lines.js";

/** The part of the journal's reading side that is needed here. */
export type ExportReader = Pick<
  JournalReader,
  "sessions" | "clockSteps" | "definitions" | "readingsForReplay" | "runsAfter" | "transitionsAfter"
>;

const ALL: Span = { from: null, to: null };

/** The channels that the stamp of a run was made with, from what the journal keeps; null where it does not know. */
export type ChannelsOfRun = (run: Run, session: number) => readonly ChannelDefinition[] | null;

/** All runs as a table for people. */
export function runTable(reader: ExportReader): AsyncGenerator<string, void> {
  return exportRuns(reader, ALL, "csv", { rows: 0 }, () => null);
}

/** All that alarms did as a table for people. */
export function alarmTable(reader: ExportReader): AsyncGenerator<string, void> {
  return exportAlarms(reader, ALL, "csv", { rows: 0 });
}

/** @param channelsOf only asked for lines of JSON */
export async function* exportRuns(
  reader: ExportReader,
  span: Span,
  format: "csv" | "jsonl",
  tally: Tally,
  channelsOf: ChannelsOfRun,
): AsyncGenerator<string, void> {
  yield format === "csv" ? csvRow(RUN_COLUMNS) : recordsHead();
  const tellSession = sessionTeller(await reader.sessions(), await reader.clockSteps());
  for await (const { session, run, placed } of eachRow(reader.runsAfter, (row) => row.run.number)) {
    if (!within(span, placed?.startWall ?? run.startWall)) continue;
    tally.rows += 1;
    if (format === "csv") {
      yield runRow({ ...run, placed });
      continue;
    }
    const { start, lines } = tellSession(session);
    yield lines + recordLine({ type: "run", session: start, run, channels: channelsOf(run, session) });
  }
}

export async function* exportAlarms(
  reader: ExportReader,
  span: Span,
  format: "csv" | "jsonl",
  tally: Tally,
): AsyncGenerator<string, void> {
  yield format === "csv" ? csvRow(ALARM_COLUMNS) : recordsHead();
  const tellSession = sessionTeller(await reader.sessions(), await reader.clockSteps());
  for await (const kept of eachRow(reader.transitionsAfter, (row) => row.seq)) {
    if (!within(span, kept.wall)) continue;
    tally.rows += 1;
    if (format === "csv") {
      yield alarmRow(kept);
      continue;
    }
    const { seq: _seq, session, ...transition } = kept;
    const { start, lines } = tellSession(session);
    yield lines + recordLine({ type: "alarm", session: start, transition });
  }
}

/**
 * Gives the lines of a session before the first thing that belongs to it: with what is known of its clock, and of that in
 * later starts of its boot, by which it is placed.
 */
function sessionTeller(sessions: readonly KeptSession[], steps: readonly KeptClockStep[]) {
  const known = new Map(sessions.map((each) => [each.session, each]));
  const told = new Set<number>();

  function linesOf({ session: number, ...session }: KeptSession): string {
    if (told.has(number)) return "";
    told.add(number);
    const clock = steps
      .filter((each) => each.session === number)
      .map(({ step }) => recordLine({ type: "clock", session: session.start, step }));
    return recordLine({ type: "session", session }) + clock.join("");
  }

  return (number: number): { readonly start: string; readonly lines: string } => {
    const kept = known.get(number);
    // Foreign keys are on: a row always has its session, unless it was begun since the sessions were asked for.
    if (kept === undefined) {
      throw new AppError("journal-unusable", "The station was started during the export: begin it again.");
    }
    const later = sessions.filter(
      ({ session, bootId, clock }) =>
        session > number &&
        bootId === kept.bootId &&
        (clock !== kept.clock || steps.some((each) => each.session === session)),
    );
    return { start: kept.start, lines: [kept, ...later].map(linesOf).join("") };
  };
}
