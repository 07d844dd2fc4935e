import type { CoolantTrend } from "../conditions/coolant-trend.js";
import type { DerivedValue } from "../conditions/deriver.js";
import { liveValue } from "../conditions/live-value.js";
import type { AfterCut } from "../model/after-cut.js";
import type { StandingAlarm, SuppressedAlarm } from "../model/alarm.js";
import type { Caution, CheckListNow } from "../model/caution.js";
import type { ChannelDefinition } from "../model/channel.js";
import type { DiskView } from "../model/disk.js";
import type { FilterView } from "../model/filter.js";
import type { Clock, Instant } from "../model/instant.js";
import type {
  Annunciation,
  Bucket,
  CoolantView,
  ExtractionView,
  LiveChannel,
  LiveCondition,
  NowSnapshot,
  OpticsView,
  OutlookView,
  Readiness,
} from "../model/now.js";
import { CONDITIONS } from "../model/quantity.js";
import type { Reading } from "../model/reading.js";
import type { Run, RunSettings } from "../model/run.js";
import type { SourceStatus } from "../model/source.js";
import type { TrialNow } from "../model/specimen.js";

/** Where each part of what the pages show comes from. Everything is looked up at the moment a snapshot is made. */
export interface SnapshotParts {
  readonly start: string;
  readonly stationName: string;
  readonly simulatedSources: ReadonlySet<string>;
  readonly clock: Clock;
  readonly definitions: readonly ChannelDefinition[];
  readonly latest: (channel: string) => Reading | null;
  readonly coolant: Pick<CoolantView, "channel" | "low" | "high">;
  readonly deriver: {
    current(): readonly DerivedValue[];
    trend(): CoolantTrend;
    extraction(): ExtractionView;
  };
  readonly trendText: (trend: CoolantTrend) => string;
  readonly coolantLine: {
    all(nowMono: number, ahead: number): readonly Bucket[];
    newest(nowMono: number, ahead: number): readonly Bucket[];
  };
  /** Wall less monotonic time, milliseconds: the same until the clock is set. */
  readonly ahead: () => number;
  readonly outlook: (now: Instant) => OutlookView;
  readonly afterCut: () => AfterCut;
  readonly readiness: (now: Instant) => Readiness;
  readonly sources: () => readonly SourceStatus[];
  readonly runs: { current(): Run | null; jobSheet(): RunSettings; jobSheetWall(): number | null };
  readonly trial: () => TrialNow | null;
  readonly filter: () => FilterView | null;
  readonly optics: () => OpticsView;
  readonly standing: () => readonly StandingAlarm[];
  readonly suppressed: () => readonly SuppressedAlarm[];
  readonly annunciation: () => Annunciation;
  readonly cautions: (now: Instant) => readonly Caution[];
  readonly checklists: () => readonly CheckListNow[];
  readonly journal: () => NowSnapshot["journal"];
  readonly disk: () => DiskView;
  readonly doubt: () => string | null;
}

/** @returns a maker of snapshots; `whole` gives all of the coolant line, else only its newest buckets */
export function createSnapshots(parts: SnapshotParts): (whole: boolean) => NowSnapshot {
  return (whole) => {
    const now = parts.clock.now();
    const trend = parts.deriver.trend();
    const run = parts.runs.current();
    const { writing, held, waiting, text } = parts.journal();
    return {
      start: parts.start,
      stationName: parts.stationName,
      simulated: parts.simulatedSources.size > 0,
      wall: now.wall,
      clock: parts.clock.state(),
      coolant: { ...parts.coolant, trend: trend.word, trendText: parts.trendText(trend) },
      coolantLine: parts.coolantLine[whole ? "all" : "newest"](now.mono, parts.ahead()),
      extraction: parts.deriver.extraction(),
      outlook: parts.outlook(now),
      afterCut: parts.afterCut(),
      readiness: parts.readiness(now),
      channels: parts.definitions.map((each) =>
        liveChannel(each, parts.latest(each.id), now, parts.simulatedSources),
      ),
      conditions: liveConditions(parts.deriver.current(), now),
      sources: parts.sources(),
      run,
      runOpenMs: run === null ? null : Math.max(0, now.mono - run.startMono),
      jobSheet: parts.runs.jobSheet(),
      jobSheetWall: parts.runs.jobSheetWall(),
      trial: parts.trial(),
      optics: parts.optics(),
      filter: parts.filter(),
      alarms: parts.standing(),
      suppressed: parts.suppressed(),
      annunciation: parts.annunciation(),
      cautions: parts.cautions(now),
      checklists: parts.checklists(),
      journal: { writing, held, waiting, text: `${text} ${parts.disk().text}`, doubt: parts.doubt() },
    };
  };
}

/** Decimals worth showing of a value whose sensor tells `resolution` apart: 0.0625 shows tenths, 1 shows units. */
export function decimalsOf(resolution: number): number {
  return Math.min(3, Math.max(0, Math.round(-Math.log10(resolution))));
}

function liveChannel(
  { id, name, kind, unit, resolution, source, staleAfterS }: ChannelDefinition,
  latest: Reading | null,
  now: Instant,
  simulatedSources: ReadonlySet<string>,
): LiveChannel {
  const decimals = decimalsOf(resolution);
  return {
    ...liveValue(latest, now.mono),
    id,
    name,
    kind,
    unit,
    decimals,
    simulated: simulatedSources.has(source),
    staleAfterMs: staleAfterS * 1000,
  };
}

/** Those whose sensors are set up. */
function liveConditions(derived: readonly DerivedValue[], now: Instant): LiveCondition[] {
  return derived.map((value) => {
    const { label, unit } = CONDITIONS[value.condition];
    return { ...liveValue(value, now.mono), id: value.condition, label, unit };
  });
}
