import type { Unit } from "../model/quantity.js";
import type { Quality } from "../model/reading.js";
import type { WindowStatistics } from "../model/run.js";
import { NO_SPREAD, type Spread, spreadWith, standardDeviation } from "./spread.js";

/** A value as it came in: null exactly when bad. */
export interface Sample {
  /** Milliseconds, monotonic. */
  readonly mono: number;
  readonly value: number | null;
  readonly quality: Quality;
}

/** Where the value was outside a range, and for how long. */
export interface Excursion {
  /** Furthest value below `low`, or null; and milliseconds spent there. */
  readonly lowest: number | null;
  readonly belowMs: number;
  readonly highest: number | null;
  readonly aboveMs: number;
}

/**
 * Running statistics of one quantity over a window that is still open.
 *
 * A value is in force from its own instant until the next one, or until it is older than `staleAfterMs`; so a slow
 * sensor still covers a short window with the value that was in force when it opened. Means are weighted by time.
 * Inside means later than the start and earlier than the end: what arrives in the very millisecond of the start is what
 * was in force at the start, and what arrives in the millisecond of the end does not belong. With that, the fold depends
 * on nothing but the sequence of samples, and a replay from the journal gives the same numbers to the last bit.
 */
export interface WindowFold {
  readonly startMono: number;
  readonly staleAfterMs: number;
  readonly range: { readonly low: number; readonly high: number } | null;
  /** Samples of the newest millisecond: not counted before it is known that the window goes on past it. */
  pending: readonly Sample[];
  held: Sample | null;
  countedTo: number;
  integral: number;
  /** Mean so far and sum of squared distances from it, each times its milliseconds. */
  spread: Spread;
  goodMs: number;
  uncertainMs: number;
  min: number | null;
  max: number | null;
  first: number | null;
  last: number | null;
  readings: number;
  belowMs: number;
  aboveMs: number;
  lowest: number | null;
  highest: number | null;
}

export interface WindowSpec {
  readonly startMono: number;
  /** Milliseconds after which a value no longer stands for anything; Infinity where its end is always reported. */
  readonly staleAfterMs: number;
  readonly range?: { readonly low: number; readonly high: number };
}

/** Opens a window. `held` is the latest sample up to its start, if there is one. */
export function openWindow(spec: WindowSpec, held: Sample | null): WindowFold {
  return {
    startMono: spec.startMono,
    staleAfterMs: spec.staleAfterMs,
    range: spec.range ?? null,
    pending: [],
    held,
    countedTo: spec.startMono,
    integral: 0,
    spread: NO_SPREAD,
    goodMs: 0,
    uncertainMs: 0,
    min: null,
    max: null,
    first: null,
    last: null,
    readings: 0,
    belowMs: 0,
    aboveMs: 0,
    lowest: null,
    highest: null,
  };
}

/** Takes the next sample. One older than the newest already taken is put at that moment: time does not run back. */
export function takeSample(fold: WindowFold, sample: Sample): void {
  const newest = fold.pending[0]?.mono ?? fold.startMono;
  if (sample.mono <= fold.startMono && newest === fold.startMono) {
    fold.held = sample;
    return;
  }
  const placed = sample.mono >= newest ? sample : { ...sample, mono: newest };
  if (placed.mono > newest) settle(fold);
  fold.pending = [...fold.pending, placed];
}

/** A copy that goes its own way: what the window would be if it had ended here. */
export function copyWindow(fold: WindowFold): WindowFold {
  return { ...fold };
}

/**
 * Closes the window at `endMono` and gives its statistics. Below `minGoodShare` (0 to 1) of good data, or for a window
 * of no length, every number is null and `known` is false.
 */
export function closeWindow(
  fold: WindowFold,
  endMono: number,
  unit: Unit,
  minGoodShare: number,
): WindowStatistics {
  const closed = closedCopy(fold, endMono);
  const length = endMono - closed.startMono;
  const covered = closed.goodMs + closed.uncertainMs;
  const goodShare = length > 0 ? closed.goodMs / length : 0;
  const known = length > 0 && covered > 0 && goodShare >= minGoodShare;
  return {
    unit,
    known,
    min: known ? closed.min : null,
    mean: known ? closed.integral / covered : null,
    sd: known ? standardDeviation(closed.spread) : null,
    max: known ? closed.max : null,
    first: known ? closed.first : null,
    last: known ? closed.last : null,
    goodShare,
    uncertainShare: length > 0 ? closed.uncertainMs / length : 0,
    readings: closed.readings,
  };
}

/** Time and distance outside the window's range up to `endMono`; null where the window was opened without a range. */
export function excursion(fold: WindowFold, endMono: number): Excursion | null {
  if (fold.range === null) return null;
  const closed = closedCopy(fold, endMono);
  const { lowest, belowMs, highest, aboveMs } = closed;
  return { lowest, belowMs, highest, aboveMs };
}

function closedCopy(fold: WindowFold, endMono: number): WindowFold {
  const closed = copyWindow(fold);
  if ((closed.pending[0]?.mono ?? endMono) < endMono) settle(closed);
  countTo(closed, endMono);
  return closed;
}

/** Counts the samples of the newest millisecond in, now that the window is known to go on past them. */
function settle(fold: WindowFold): void {
  for (const sample of fold.pending) {
    countTo(fold, sample.mono);
    fold.readings += 1;
    fold.held = sample;
    see(fold, sample.value);
  }
  fold.pending = [];
}

function countTo(fold: WindowFold, mono: number): void {
  const { held } = fold;
  const from = fold.countedTo;
  if (mono <= from) return;
  fold.countedTo = mono;
  if (held === null || held.value === null) return;
  const ms = Math.min(mono, held.mono + fold.staleAfterMs) - from;
  if (ms <= 0) return;
  see(fold, held.value);
  fold.integral += held.value * ms;
  fold.spread = spreadWith(fold.spread, held.value, ms);
  if (held.quality === "good") fold.goodMs += ms;
  else fold.uncertainMs += ms;
  if (fold.range !== null && held.value < fold.range.low) fold.belowMs += ms;
  if (fold.range !== null && held.value > fold.range.high) fold.aboveMs += ms;
}

function see(fold: WindowFold, value: number | null): void {
  if (value === null) return;
  fold.min = fold.min === null ? value : Math.min(fold.min, value);
  fold.max = fold.max === null ? value : Math.max(fold.max, value);
  fold.first ??= value;
  fold.last = value;
  if (fold.range === null) return;
  if (value < fold.range.low) fold.lowest = fold.lowest === null ? value : Math.min(fold.lowest, value);
  if (value > fold.range.high) fold.highest = fold.highest === null ? value : Math.max(fold.highest, value);
}
