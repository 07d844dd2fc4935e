import type { DerivedValue } from "../conditions/deriver.js";
import {
  closeWindow,
  copyWindow,
  excursion,
  openWindow,
  type Sample,
  takeSample,
  type WindowFold,
} from "../conditions/window-statistics.js";
import type { ChannelDefinition } from "../model/channel.js";
import type { Instant } from "../model/instant.js";
import { CONDITIONS, type ConditionId } from "../model/quantity.js";
import type { Reading } from "../model/reading.js";
import type { Run, RunEnd, RunFlag, Stamp, WindowStatistics } from "../model/run.js";
import { coolantFlag, extractionFlag, interruptedFlag, SIMULATED_FLAG, unknownFlag } from "./flags.js";
import type { Arrival, Standing } from "./recent-past.js";

/** What a stamp is judged by; frozen with the configuration. */
export interface StampRules {
  readonly definitions: readonly ChannelDefinition[];
  readonly coolantRange: { readonly low: number; readonly high: number };
  /** 0 to 1. */
  readonly minGoodShare: number;
}

/** The statistics of an open run, fed one reading at a time. */
export interface StampFold {
  readonly startMono: number;
  readonly channels: ReadonlyMap<string, WindowFold>;
  readonly conditions: ReadonlyMap<ConditionId, WindowFold>;
  /** 1 while the extraction was seen standing still. */
  readonly extractionStopped: WindowFold;
}

/** What is known of a run's end besides its readings. */
export type StampFacts = Pick<Stamp, "clockAtEnd" | "opticsHours"> & { readonly endCause: RunEnd };

/** @param before what was in force when the window opened */
export function openStamp(rules: StampRules, startMono: number, before: Standing): StampFold {
  const channels = new Map<string, WindowFold>();
  for (const definition of rules.definitions) {
    const latest = before.latest(definition.id);
    const spec = {
      startMono,
      staleAfterMs: definition.staleAfterS * 1000,
      ...(definition.kind === "coolant-inlet" ? { range: rules.coolantRange } : {}),
    };
    channels.set(definition.id, openWindow(spec, latest === null ? null : sampleOf(latest)));
  }
  const conditions = new Map<ConditionId, WindowFold>();
  // A condition's end is always reported: a channel that goes stale reports it, and what hangs on it follows.
  const spec = { startMono, staleAfterMs: Number.POSITIVE_INFINITY };
  for (const condition of Object.keys(CONDITIONS) as ConditionId[]) {
    const value = before.derived.find((each) => each.condition === condition);
    conditions.set(condition, openWindow(spec, value === undefined ? null : sampleOf(value)));
  }
  const extractionStopped = openWindow(spec, stoppedSample(before.extraction, startMono));
  return { startMono, channels, conditions, extractionStopped };
}

/** Takes one reading with what followed from it. */
export function stampArrival(fold: StampFold, { reading, derived, extraction }: Arrival): void {
  const channel = fold.channels.get(reading.channel);
  if (channel !== undefined) takeSample(channel, sampleOf(reading));
  for (const value of derived) {
    const condition = fold.conditions.get(value.condition);
    if (condition !== undefined) takeSample(condition, sampleOf(value));
  }
  takeSample(fold.extractionStopped, stoppedSample(extraction, reading.at.mono));
}

/** A copy of the fold as it stands: the stamp of the run if it turns out to have ended here. */
export function copyStamp(fold: StampFold): StampFold {
  const copies = <K>(folds: ReadonlyMap<K, WindowFold>) =>
    new Map([...folds].map(([key, window]) => [key, copyWindow(window)] as const));
  return {
    startMono: fold.startMono,
    channels: copies(fold.channels),
    conditions: copies(fold.conditions),
    extractionStopped: copyWindow(fold.extractionStopped),
  };
}

/** The frozen stamp of `run`, whose window closed at `end`. */
export function closeStamp(
  fold: StampFold,
  rules: StampRules,
  run: Run,
  end: Instant,
  facts: StampFacts,
): Stamp {
  const { minGoodShare, coolantRange } = rules;
  const channels: Record<string, Stamp["channels"][string]> = {};
  const flags: RunFlag[] = [];
  let coolant: WindowStatistics | null = null;
  for (const { id, name, kind, unit } of rules.definitions) {
    const window = fold.channels.get(id);
    if (window === undefined) continue;
    const statistics = closeWindow(window, end.mono, unit, minGoodShare);
    channels[id] = { ...statistics, name, kind };
    if (kind !== "coolant-inlet") continue;
    coolant ??= statistics;
    flags.push(...coolantFlag(name, excursion(window, end.mono), coolantRange, statistics.known));
  }
  const conditions: Partial<Record<ConditionId, WindowStatistics>> = {};
  for (const [condition, window] of fold.conditions) {
    conditions[condition] = closeWindow(window, end.mono, CONDITIONS[condition].unit, minGoodShare);
  }
  flags.push(...unknownFlag(coolant, minGoodShare));
  flags.push(
    ...extractionFlag(closeWindow(fold.extractionStopped, end.mono, "state", 0), end.mono - fold.startMono),
  );
  flags.push(...interruptedFlag(facts.endCause));
  if (run.simulated) flags.push(SIMULATED_FLAG);
  return {
    method: 2,
    startWall: run.startWall,
    startMono: run.startMono,
    endWall: end.wall,
    endMono: end.mono,
    bootId: run.bootId,
    clockAtStart: run.clockAtStart,
    clockAtEnd: facts.clockAtEnd,
    coolantRange,
    minGoodShare,
    opticsHours: facts.opticsHours,
    channels,
    conditions,
    flags,
    simulated: run.simulated,
  };
}

function sampleOf(value: Reading | DerivedValue): Sample {
  return { mono: value.at.mono, value: value.value, quality: value.quality };
}

function stoppedSample(extraction: Standing["extraction"], mono: number): Sample {
  if (extraction === "unknown") return { mono, value: null, quality: "bad" };
  return { mono, value: extraction === "stopped" ? 1 : 0, quality: "good" };
}
