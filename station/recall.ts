import { z } from "zod";
import { NO_ALARMS_RECALLED, type RecalledAlarms } from "./alarms/kept.js";
import type { StationConfig } from "./config.js";
import type { Journal } from "./journal/journal.js";
import type { JournalReader } from "./journal/reader.js";
import type { Log } from "./log.js";
import type { AlarmTransition } from "./model/alarm.js";
import type { ChannelDefinition } from "./model/channel.js";
import type { Clock, Instant } from "./model/instant.js";
import type { Reading } from "./model/reading.js";
import type { RunSettings } from "./model/run.js";
import { recallAlarms } from "./recall-alarms.js";
import { readingsBefore } from "./recall-readings.js";
import { keptSetting, settingsSince } from "./setting-changes.js";
import { type Cleaning, hoursSince, lastOpticsCleaning } from "./trials/optics.js";
import { closeInterrupted } from "./trials/recover.js";
import { lastJobSheet } from "./trials/run-record.js";
import type { StampRules } from "./trials/stamp.js";

/** What the station takes up again from the starts before this one. */
export interface Recalled {
  readonly cleaning: Cleaning | null;
  readonly alarms: readonly AlarmTransition[];
  /** How they are set, and what keeps them silent. */
  readonly alarmsKept: RecalledAlarms;
  readonly lastNumber: number;
  readonly jobSheet: { readonly settings: RunSettings; readonly wall: number } | null;
  /** This boot's latest readings, so that a restart does not cost the trend its ten minutes, nor the outlook its hour. */
  readonly readings: readonly Reading[];
}

/** What there is where the journal could not be opened: the station watches all the same. */
export const NOTHING_RECALLED: Recalled = {
  cleaning: null,
  alarms: [],
  alarmsKept: NO_ALARMS_RECALLED,
  lastNumber: 0,
  jobSheet: null,
  readings: [],
};

export interface RecallParts {
  readonly journal: Journal;
  readonly reader: JournalReader;
  readonly bootId: string;
  /** When this start of the station began. */
  readonly mono: number;
  /** Of the channels there are. */
  readonly definitions: readonly ChannelDefinition[];
  /** Ids of the alarms there are; default none. */
  readonly alarmIds?: readonly string[];
  /** Called for each part that the journal cannot give. */
  readonly missing: (part: string, error: unknown) => void;
}

/** Asks the journal. A part that it cannot give, as a damaged one may not, is left out and said; the others are not. */
export async function recall(parts: RecallParts): Promise<Recalled> {
  const { journal, reader, bootId, mono, missing, definitions, alarmIds = [] } = parts;
  const or = async <T>(part: string, instead: T, ask: () => Promise<T>): Promise<T> => {
    try {
      return await ask();
    } catch (error) {
      missing(part, error);
      return instead;
    }
  };
  const nothing = NOTHING_RECALLED;
  const alarms = await or("the standing alarms", nothing.alarms, () => journal.alarmStatesBefore());
  return {
    cleaning: await or("the cleaning of the optics", nothing.cleaning, () => lastOpticsCleaning(journal)),
    alarms,
    alarmsKept: await or("how the alarms are set", nothing.alarmsKept, () =>
      recallAlarms({ journal, reader, alarms: alarmIds, lastTransitions: alarms, here: { mono, bootId } }),
    ),
    lastNumber: await or(
      "the number of the last run",
      nothing.lastNumber,
      async () => (await reader.runs({ limit: 1 })).runs[0]?.number ?? 0,
    ),
    jobSheet: await or("the job sheet", nothing.jobSheet, () => lastJobSheet(journal)),
    readings: await or("the latest readings", nothing.readings, () =>
      readingsBefore(reader, { bootId, mono, definitions }),
    ),
  };
}

/** What the desks hold with its wall time, which is another once the clock has been set. */
export interface HeldTimes {
  readonly journal: Journal;
  readonly optics: { placed(last: Cleaning | null): void };
  readonly runs: { placed(jobSheet: Recalled["jobSheet"]): void };
  readonly alarms: { placed(lastTransitions: readonly AlarmTransition[]): void };
}

/** Takes up their true times, after the journal has kept that the clock was set. */
export async function recallTimes({ journal, optics, runs, alarms }: HeldTimes): Promise<void> {
  optics.placed(await lastOpticsCleaning(journal));
  runs.placed(await lastJobSheet(journal));
  alarms.placed(await journal.lastAlarmStates());
}

export interface InterruptedParts {
  readonly journal: Journal;
  readonly reader: JournalReader;
  readonly config: StationConfig;
  readonly rules: StampRules;
  readonly clock: Clock;
  /** When this start of the station began. */
  readonly startedAt: Instant;
  /** Runs of this start are not interrupted ones. */
  readonly hasBegun: (run: string) => boolean;
  readonly lastCleaning: () => Cleaning | null;
  readonly log: Log;
}

/**
 * Closes the runs that were open when the station broke off, by the settings they were cut under, and then keeps what has
 * changed in the settings since. Runs beside the live line: a run that was left open for days is days of readings.
 */
export async function takeUpAgain(parts: InterruptedParts): Promise<void> {
  const { journal, reader, config, clock, startedAt, log } = parts;
  const rules = await rulesBefore(journal, parts.rules);
  for (const run of await journal.openRuns()) {
    if (parts.hasBegun(run.id)) continue;
    const sameBoot = run.bootId === clock.bootId;
    const { startWall: wall, startMono: mono, bootId, clockAtStart } = run;
    const began = { wall, mono, bootId, clock: clockAtStart };
    try {
      const closed = await closeInterrupted(run, reader, rules, {
        endCause: sameBoot ? "station-failed" : "power-lost",
        beforeMono: (await journal.startAfterRun(run.id)) ?? Number.MAX_SAFE_INTEGER,
        opticsHours: hoursSince(parts.lastCleaning(), began),
      });
      await journal.runEnded(closed);
      log("warn", "closed a run that was open when the station broke off", {
        run: closed.number,
        why: closed.endCause,
      });
    } catch (error) {
      // The others have to be closed all the same.
      log("error", "a run that was open when the station broke off could not be closed", {
        run: run.number,
        error: String(error),
      });
    }
  }
  for (const change of await settingsSince(journal, config, startedAt)) await journal.settingChanged(change);
}

const rangeSchema = z.object({ low: z.number(), high: z.number() });
const runsSchema = z.object({ min_good_share: z.number() });

/** The rules of the start before, as the journal has kept them; today's where it has none. */
async function rulesBefore(journal: Journal, today: StampRules): Promise<StampRules> {
  const range = rangeSchema.safeParse(await keptSetting(journal, "coolant_range"));
  const runs = runsSchema.safeParse(await keptSetting(journal, "runs"));
  const channels = await keptSetting(journal, "channels");
  return {
    coolantRange: range.success ? range.data : today.coolantRange,
    minGoodShare: runs.success ? runs.data.min_good_share : today.minGoodShare,
    // Written by this program from definitions it had checked, and read back by the same.
    definitions: Array.isArray(channels) ? (channels as ChannelDefinition[]) : today.definitions,
  };
}
