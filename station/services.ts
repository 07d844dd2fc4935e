import { join } from "node:path";
import { CAUTIONS } from "../safety/cautions.js";
import { CHECKLISTS } from "../safety/checklists.js";
import { EXPOSURE_LIMITS } from "../safety/exposure.js";
import { NEVER_CUT_LIST } from "../safety/never-cut.js";
import { STATEMENT } from "../safety/statement.js";
import type { Alarms } from "./alarms/alarms.js";
import type { AfterCutDesk } from "./cautions/after-cut-desk.js";
import type { CheckListDesk } from "./cautions/checklist-desk.js";
import { createEmergencyRecord } from "./cautions/emergency.js";
import type { ClockFollower } from "./clock-follow.js";
import type { CoolantRange } from "./conditions/coolant-trend.js";
import type { Outlook } from "./conditions/outlook.js";
import type { Backups } from "./journal/backup/schedule.js";
import { JOURNAL_FILE } from "./journal/database.js";
import type { DiskWatch } from "./journal/disk/watch.js";
import type { Downloads } from "./journal/exchange/downloads.js";
import { alarmTable, runTable } from "./journal/exchange/export-records.js";
import type { Journal } from "./journal/journal.js";
import type { JournalReader } from "./journal/reader.js";
import type { SoundnessWatch } from "./journal/soundness/watch.js";
import type { ChannelDefinition } from "./model/channel.js";
import type { Clock, Instant } from "./model/instant.js";
import type { NowSnapshot } from "./model/now.js";
import type { Outward } from "./outward/outward.js";
import type { Setup } from "./setup/setup.js";
import type { Optics } from "./trials/optics.js";
import type { createRunRecord } from "./trials/run-record.js";
import type { createTrials } from "./trials/trials.js";
import type { Services } from "./web/app.js";

const DAY_MS = 86_400_000;
/** How good the forecasts were is worked out to the half hour: everybody who looks meanwhile has the same answer. */
const FORECASTS_EVERY_MS = 1_800_000;

export interface ServiceParts {
  readonly version: string;
  readonly startedAt: Instant;
  /** Of the journal. */
  readonly folder: string;
  readonly coolantRange: CoolantRange;
  readonly channels: readonly ChannelDefinition[];
  readonly clock: Clock;
  readonly snapshot: (whole: boolean) => NowSnapshot;
  readonly journal: Journal;
  readonly reader: JournalReader;
  readonly disk: DiskWatch;
  readonly soundness: SoundnessWatch;
  readonly backups: Backups;
  readonly downloads: Downloads;
  readonly clockFollower: ClockFollower;
  readonly alarms: Alarms;
  readonly outward: Outward;
  readonly optics: Optics;
  readonly outlook: Outlook;
  readonly afterCut: AfterCutDesk;
  readonly checklists: CheckListDesk;
  readonly record: ReturnType<typeof createRunRecord>;
  readonly trials: ReturnType<typeof createTrials>;
  readonly setup: Setup;
}

/** What each group of addresses is answered by. */
export function servicesOf(parts: ServiceParts): Omit<Services, "access"> {
  const { clock, reader, journal, disk, soundness, snapshot, trials, alarms } = parts;
  return {
    now: {
      snapshot: () => snapshot(true),
      series: (query) => reader.seriesText(query),
      opticsCleaned: () => parts.optics.cleaned(),
    },
    process: {
      forecasts: (days) => forecasts(parts, days),
      job: parts.outlook.job,
      look: parts.afterCut.look,
      begin: parts.afterCut.begin,
    },
    runs: parts.record,
    lots: trials.lots,
    plans: trials.plans,
    decisions: trials.decisions,
    labels: trials.plans,
    photos: trials.photos,
    pastRuns: trials.pastRuns,
    review: trials.review,
    workshop: trials.workshop,
    alarms: {
      ...alarms,
      standing: () => alarms.desk.standing(),
      suppressed: () => alarms.desk.suppressed(),
      log: (query) => reader.alarmLog(query),
    },
    outward: parts.outward,
    marks: { marks: (query) => reader.marks(query), span: () => reader.span() },
    cautions: {
      ...{ cautions: Object.values(CAUTIONS), statement: STATEMENT, neverCut: NEVER_CUT_LIST },
      ...{ limits: EXPOSURE_LIMITS, checklists: CHECKLISTS },
      emergency: createEmergencyRecord({ clock, journal }),
      checked: parts.checklists.done,
    },
    journal: {
      view: () => ({
        ...{ file: join(parts.folder, JOURNAL_FILE), disk: disk.view(), soundness: soundness.view() },
      }),
    },
    backups: {
      view: () => parts.backups.view(clock.now().wall),
      makeNow: () => parts.backups.makeNow(clock.now()),
    },
    setup: parts.setup,
    tables: { runs: () => runTable(reader), alarms: () => alarmTable(reader) },
    exports: {
      view: parts.downloads.view,
      readings: parts.downloads.readings,
      journal: parts.downloads.journal,
      wall: () => clock.now().wall,
      soundness: () => soundness.view().state,
    },
    metrics: {
      version: parts.version,
      startedWall: () => parts.startedAt.mono + parts.clockFollower.ahead(),
      snapshot: () => snapshot(false),
      alarms: alarms.definitions,
      journal: () => journal.health(),
      disk: () => disk.view(),
      lastBackupWall: () => parts.backups.state().lastGoodWall,
    },
  };
}

async function forecasts({ channels, coolantRange: range, clock, reader }: ServiceParts, days: number) {
  const coolant = channels.find(({ kind }) => kind === "coolant-inlet")?.id;
  if (coolant === undefined) return null;
  const laser = channels.find(({ kind }) => kind === "laser-on")?.id ?? null;
  const to = Math.floor(clock.now().wall / FORECASTS_EVERY_MS) * FORECASTS_EVERY_MS;
  return reader.coolantForecasts({ coolant, laser, range, from: to - days * DAY_MS, to });
}
