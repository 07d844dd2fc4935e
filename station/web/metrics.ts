import type { JournalHealth } from "../journal/health.js";
import { ALARM_STATES, type AlarmDefinition } from "../model/alarm.js";
import type { DiskView } from "../model/disk.js";
import type { LiveValue, NowSnapshot } from "../model/now.js";
import type { Unit } from "../model/quantity.js";
import { counter, exposition, type Family, gauge, info, type Labels, states } from "./openmetrics.js";

/** What the metrics are made of. */
export interface MetricsView {
  readonly version: string;
  /** Wall milliseconds of this start of the station. */
  readonly startedWall: number;
  readonly now: NowSnapshot;
  readonly alarms: readonly AlarmDefinition[];
  readonly journal: JournalHealth;
  readonly disk: DiskView;
  /** Wall milliseconds of the last good backup; null without any. */
  readonly secretsHashed: number;
  readonly lastBackupWall: number | null;
}

/** Values are those of the pages, in their units, so these are no base units: what is 45 % RH there is 45 here. */
const UNIT_NAMES: Readonly<Record<Unit, string>> = {
  Cel: "celsius",
  "%RH": "percent_rh",
  "m/s": "meters_per_second",
  Pa: "pascals",
  "1/min": "revolutions_per_minute",
  "l/min": "liters_per_minute",
  "g/m3": "grams_per_cubic_meter",
  "Cel/min": "celsius_per_minute",
  min: "minutes",
  "%MC": "percent_mc",
  // A state has none, and must not have one in a name either.
  state: "",
};

const QUALITIES = ["good", "uncertain", "bad"];
const FITNESS = ["fit", "not-yet", "not-fit", "cannot-tell"];
const CLOCK = ["synchronised", "not synchronised", "unknown"];

/** The station as it is now, in the text format of OpenMetrics. A value that is not known is left out, never repeated. */
export function metricsText(view: MetricsView): string {
  const { now, journal, version, startedWall } = view;
  const channels = now.channels.map((live) => ({ labels: { channel: live.id }, live, unit: live.unit }));
  const conditions = now.conditions.map((live) => ({
    labels: { condition: live.id },
    live,
    unit: live.unit,
  }));
  const suppressed = now.suppressed ?? [];
  const standing = new Map([...now.alarms, ...suppressed].map(({ alarm, state }) => [alarm, state] as const));
  return exposition([
    info("station", "This start of the station.", [
      { version, start: now.start, name: now.stationName, simulated: String(now.simulated) },
    ]),
    states("station_clock", "Whether the wall clock has been set.", CLOCK, [
      { labels: {}, state: now.clock },
    ]),
    info(
      "station_channel",
      "What a channel is.",
      now.channels.map(({ id, name, kind, simulated }) => ({
        channel: id,
        name,
        kind,
        simulated: String(simulated),
      })),
    ),
    ...values("station_channel", "Latest value of a channel.", channels),
    states(
      "station_channel_quality",
      "Quality of the latest value.",
      QUALITIES,
      channels.map(({ labels, live }) => ({ labels, state: live.quality })),
    ),
    ages("station_channel_age", "Time since the latest reading.", channels),
    ...values("station_condition", "Latest value worked out from the channels.", conditions),
    states(
      "station_condition_quality",
      "Quality of the value worked out.",
      QUALITIES,
      conditions.map(({ labels, live }) => ({ labels, state: live.quality })),
    ),
    states("station_fitness", "Fit to cut: an advice, not a permission.", FITNESS, [
      { labels: {}, state: now.readiness.fitness },
    ]),
    one("station_run_open", "", "1 while a run is open.", now.run === null ? 0 : 1),
    states(
      "station_alarm",
      "State of each alarm (IEC 62682).",
      ALARM_STATES,
      view.alarms.map(({ id, priority }) => ({
        labels: { alarm: id, priority },
        state: standing.get(id) ?? "normal",
      })),
    ),
    one("station_journal_writing", "", "1 while readings are being kept.", journal.writing ? 1 : 0),
    one("station_journal_waiting_readings", "", "Readings not yet committed.", journal.waiting),
    counter(
      "station_journal_dropped_readings",
      "Readings given up, because too many were waiting.",
      journal.dropped,
      startedWall / 1000,
    ),
    counter(
      "station_secrets_hashed",
      "Passphrases and PINs reckoned with: many of them, and somebody is trying.",
      view.secretsHashed,
      startedWall / 1000,
    ),
    ...diskFamilies(view),
    one(
      "station_backup_last_good_timestamp",
      "seconds",
      "When the last good backup was made, since 1970-01-01 UTC.",
      view.lastBackupWall === null ? null : view.lastBackupWall / 1000,
    ),
  ]);
}

function diskFamilies({ journal: { held, commits, wal }, disk }: MetricsView): Family[] {
  const seconds = (ms: number | undefined) => (ms === undefined ? null : ms / 1000);
  const left = disk.daysLeft === null ? null : disk.daysLeft * 86_400;
  return [
    one("station_journal_readings_held", "", "1 while the disk has no room for readings.", held ? 1 : 0),
    one("station_disk_free", "bytes", "Room left on the disk of the journal.", disk.freeBytes),
    one("station_disk_size", "bytes", "Size of the disk of the journal.", disk.totalBytes),
    one("station_disk_left", "seconds", "Time until that disk has no room for readings.", left),
    one("station_journal_size", "bytes", "Size of the journal with its write-ahead log.", disk.journalBytes),
    one("station_journal_wal_size", "bytes", "Size of the write-ahead log.", wal?.bytes ?? null),
    one(
      "station_journal_wal_waiting_pages",
      "",
      "Pages that a checkpoint could not bring into the journal, because of a reader.",
      wal?.pagesWaiting ?? null,
    ),
    one(
      "station_journal_commit_median",
      "seconds",
      "Median time of a commit in the last ten minutes.",
      seconds(commits?.medianMs),
    ),
    one(
      "station_journal_commit_longest",
      "seconds",
      "Longest time of a commit in the last ten minutes.",
      seconds(commits?.longestMs),
    ),
  ];
}

function one(name: string, unit: string, help: string, value: number | null): Family {
  return gauge(name, unit, help, value === null ? [] : [{ labels: {}, value }]);
}

interface Labelled {
  readonly labels: Labels;
  readonly live: LiveValue;
  readonly unit: Unit;
}

/** A family for each unit that occurs: a family has one unit. */
function values(name: string, help: string, all: readonly Labelled[]): Family[] {
  const units = [...new Set(all.map(({ unit }) => unit))];
  return units.map((unit) => {
    const measured = all.flatMap(({ labels, live, unit: its }) =>
      its === unit && live.value !== null ? [{ labels, value: live.value }] : [],
    );
    const unitName = UNIT_NAMES[unit];
    return unitName === ""
      ? gauge(`${name}_on`, "", `${help} 1 is on, 0 off.`, measured)
      : gauge(name, unitName, help, measured);
  });
}

function ages(name: string, help: string, all: readonly Labelled[]): Family {
  const measured = all.flatMap(({ labels, live }) =>
    live.ageMs === null ? [] : [{ labels, value: live.ageMs / 1000 }],
  );
  return gauge(name, "seconds", help, measured);
}
