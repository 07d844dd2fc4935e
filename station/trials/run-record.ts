import { AppError } from "../errors.js";
import type { Clock, Instant } from "../model/instant.js";
import type { RunRow, Series } from "../model/now.js";
import type { PlacedRun, Run, RunSettings } from "../model/run.js";
import { runSettingsSchema } from "../model/run-schema.js";
import { type Kept, keptWithin } from "./kept.js";
import { openAlready, type RunDesk } from "./run-desk.js";
import { runRowOf } from "./run-row.js";

export interface RunRecordParts {
  readonly clock: Clock;
  readonly desk: RunDesk;
  readonly journal: {
    runSettingsChanged(id: string, settings: RunSettings, at: Instant, by: string | null): Promise<void>;
    settingChanged(change: {
      subject: string;
      path: string;
      old: unknown;
      new: unknown;
      at: Instant;
      by: string | null;
    }): Promise<void>;
  };
  readonly reader: {
    run(id: string): Promise<PlacedRun | null>;
    runs(query: {
      before?: number;
      limit: number;
      flaggedOnly?: boolean;
    }): Promise<{ runs: readonly RunRow[]; more: boolean }>;
    runSeries(query: {
      channel: string;
      bootId: string;
      fromMono: number;
      toMono: number;
      startWall: number;
      buckets: number;
    }): Promise<Series>;
  };
  readonly channels: ReadonlySet<string>;
  /** Called when something could not be kept. */
  readonly failed: (error: unknown) => void;
  /** Called as soon as something has changed that the alarms or the pages look at. */
  readonly changed: () => void;
  /** Called with a run whose settings were corrected. */
  readonly corrected: (run: Run) => void;
}

/** Subject under which the journal keeps the job sheet. */
const JOB_SHEET = "job-sheet";
const JOB_SHEET_PATH = "settings";
const SCREEN = "a screen";
/** A chart of a run of no length would have no width. */
const SHORTEST_CHART_MS = 1_000;

/** What the next run was last said to take, from the journal. */
export async function lastJobSheet(journal: {
  lastSetting(
    subject: string,
    path: string,
  ): Promise<{ readonly value: unknown; readonly wall: number } | null>;
}): Promise<{ settings: RunSettings; wall: number } | null> {
  const kept = await journal.lastSetting(JOB_SHEET, JOB_SHEET_PATH);
  const settings = runSettingsSchema.safeParse(kept?.value);
  if (kept === null || !settings.success) return null;
  // Whether its specimen was cut since is not known here: nothing is named after the last one.
  const { specimen: _named, ...others } = settings.data;
  return { settings: others, wall: kept.wall };
}

/** The runs as people ask for them: the open one from the desk, the others from the journal. */
export function createRunRecord(parts: RunRecordParts) {
  const { clock, desk, journal, reader } = parts;

  const find = async (id: string): Promise<PlacedRun | null> => {
    const here = [desk.current(), ...desk.unkept()].find((run) => run?.id === id);
    return here == null ? reader.run(id) : { ...here, placed: null };
  };

  const keepJobSheet = (old: RunSettings, settings: RunSettings) =>
    journal.settingChanged({
      subject: JOB_SHEET,
      path: JOB_SHEET_PATH,
      old,
      new: settings,
      at: clock.now(),
      by: SCREEN,
    });

  return {
    find,
    /** Keeps what was entered. @returns what the next run takes, which is something else while a plan asks for its specimen */
    async setJobSheet(settings: RunSettings): Promise<Kept<RunSettings>> {
      const old = desk.entered();
      desk.setJobSheet(settings, clock.now());
      const sheet = desk.jobSheet();
      parts.changed();
      return keptWithin(
        keepJobSheet(old, settings).then(() => sheet),
        sheet,
      );
    },
    async list(query: { before?: number; limit: number; flaggedOnly: boolean }) {
      const listed = await reader.runs(query);
      if (query.before !== undefined || query.flaggedOnly) return listed;
      const here = desk.unkept().map(runRowOf);
      const others = listed.runs.filter(({ id }) => here.every((row) => row.id !== id));
      return { runs: [...here, ...others], more: listed.more };
    },
    series(run: PlacedRun, channel: string, buckets: number): Promise<Series> {
      if (!parts.channels.has(channel) && run.stamp?.channels[channel] === undefined) {
        throw new AppError("channel-unknown", `This run has no channel "${channel}".`);
      }
      const { bootId, startMono } = run;
      const startWall = run.placed?.startWall ?? run.startWall;
      const toMono = Math.max(run.endMono ?? clock.now().mono, startMono + SHORTEST_CHART_MS);
      return reader.runSeries({ channel, bootId, fromMono: startMono, toMono, startWall, buckets });
    },
    async begin(settings: RunSettings | null): Promise<Kept<Run>> {
      const old = desk.entered();
      const open = desk.current();
      if (open !== null) throw openAlready(open);
      // By way of the job sheet: a plan that is running says what is cut next, whoever begins the run.
      if (settings !== null) desk.setJobSheet(settings, clock.now());
      const { run, kept } = desk.begin();
      // The alarms must see how things stood when the run began, and not wait for the disk to see it.
      parts.changed();
      if (settings !== null) keepJobSheet(old, settings).catch(parts.failed);
      return keptWithin(kept, run);
    },
    async end(id: string): Promise<Kept<Run>> {
      const { run, kept, stamped } = desk.end(id);
      parts.changed();
      // Whoever ended it wants to see the stamp that it keeps; the wait for the disk begins after it.
      await stamped;
      return keptWithin(kept, run);
    },
    async correct(id: string, settings: RunSettings): Promise<Kept<Run>> {
      const run = await find(id);
      if (run === null)
        throw new AppError("run-unknown", "No run has this id: it may be from another journal.");
      const corrected = { ...run, settings };
      const kept = journal.runSettingsChanged(id, settings, clock.now(), SCREEN).then(() => corrected);
      desk.correct(id, settings);
      parts.corrected(corrected);
      parts.changed();
      return keptWithin(kept, corrected);
    },
  };
}
