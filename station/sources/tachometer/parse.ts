import type { Reason } from "../../model/reading.js";

/**
 * Counting of pulses, free of clocks; times are monotonic milliseconds.
 *
 * What one wire can tell: pulses mean that it turns. No pulses mean that it stands, or that the wire is off, or that the
 * wire is shorted: an open-collector output with a pull-up rests high or low as the rotor happens to stop, and a broken
 * wire rests high. So without pulses the speed is 0, unless something else speaks against it: a level that is low
 * throughout on a sensor known to rest high (`idleHigh`), or a wire test through the plug.
 */

/** At most this many pulses are kept; more within a window are beyond what is counted here by far. */
export const MAX_PULSES = 4096;

export interface PulseCount {
  /** Times of the pulses in the window, oldest first. */
  readonly pulses: readonly number[];
  /** When counting began. */
  readonly since: number;
  /** The levels seen at the looks in the window. */
  readonly levels: readonly { readonly at: number; readonly level: 0 | 1 }[];
  /** When pulses were last thrown away for being too many. */
  readonly overflowAt: number | null;
}

export function beginCount(at: number): PulseCount {
  return { pulses: [], since: at, levels: [], overflowAt: null };
}

export function countPulse(from: PulseCount, at: number): PulseCount {
  if (from.pulses.length < MAX_PULSES) return { ...from, pulses: [...from.pulses, at] };
  return { ...from, pulses: [...from.pulses.slice(MAX_PULSES / 2), at], overflowAt: at };
}

/** Notes the level at a look and forgets what is older than the window. */
export function noteLevel(from: PulseCount, level: 0 | 1, at: number, windowMs: number): PulseCount {
  const after = at - windowMs;
  return {
    ...from,
    pulses: from.pulses.filter((pulse) => pulse > after),
    levels: [...from.levels.filter((look) => look.at > after), { at, level }].slice(-MAX_PULSES),
  };
}

/**
 * Pulses a second at `at`. Between two pulses or more it is the number of periods over the time they took, which is finer
 * than a count; where no pulse has come for twice the mean period, the count over the window, so that a stop shows.
 */
export function pulseRate({ pulses }: PulseCount, at: number, windowMs: number): number {
  const within = pulses.filter((pulse) => pulse > at - windowMs && pulse <= at);
  const first = within.at(0);
  const last = within.at(-1);
  const byCount = (within.length * 1000) / windowMs;
  if (first === undefined || last === undefined || last <= first) return byCount;
  const period = (last - first) / (within.length - 1);
  return at - last > 2 * period ? byCount : 1000 / period;
}

/** Units a minute from pulses a second: 60 f / p, with p pulses per revolution or per litre. */
export function unitsPerMinute(hz: number, pulsesPerUnit: number): number {
  return (60 * hz) / pulsesPerUnit;
}

export type TachReading =
  | { readonly perMinute: number; readonly doubt: Reason | null }
  | { readonly fault: Reason; readonly detail: string }
  /** Counting has not lasted a window yet. */
  | null;

export interface TachSettings {
  readonly windowMs: number;
  readonly pulsesPerUnit: number;
  readonly idleHigh: boolean;
  /** Above this rate pulses are known to be lost; a second. */
  readonly reliableHz: number;
}

/** What the count says at `at`. */
export function readCount(count: PulseCount, at: number, settings: TachSettings): TachReading {
  const { windowMs, pulsesPerUnit, idleHigh, reliableHz } = settings;
  if (at - count.since < windowMs) return null;
  const hz = pulseRate(count, at, windowMs);
  const looks = count.levels.filter((look) => look.at > at - windowMs);
  if (hz === 0 && idleHigh && looks.length > 0 && looks.every((look) => look.level === 0)) {
    return {
      fault: "wire-missing",
      detail: "the line is low without a pulse: the pull-up is missing, or the wire is shorted to ground",
    };
  }
  const overflowed = count.overflowAt !== null && count.overflowAt > at - windowMs;
  return {
    perMinute: unitsPerMinute(hz, pulsesPerUnit),
    doubt: hz > reliableHz || overflowed ? "edges-lost" : null,
  };
}
