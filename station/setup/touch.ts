import type { Unit } from "../model/quantity.js";
import type { TouchMove, TouchVerdict } from "../model/setup.js";

export interface TouchSample {
  /** Monotonic milliseconds. */
  readonly mono: number;
  readonly value: number;
}

/** One point of one thing, with what it has shown, oldest first. */
export interface Watched {
  readonly key: string;
  readonly point: string;
  readonly unit: Unit;
  readonly samples: readonly TouchSample[];
}

/** Against its own last so many milliseconds. */
export const OWN_PAST_MS = 10_000;
/** One that moves within this after the first has moved with it. */
export const TOGETHER_MS = 4_000;
/** Then nobody is touching anything that is connected. */
export const GIVE_UP_MS = 30_000;

/**
 * The rise that a touch makes and that nothing else makes within ten seconds, by unit. A hand is some 10 °C warmer than a
 * room, and breath is nearly saturated; a DS18B20 is noisy by one or two steps of 0.06 °C. Common practice, no source.
 */
const LEAST_RISE: Partial<Record<Unit, number>> = {
  Cel: 1,
  "%RH": 5,
  "m/s": 0.3,
  Pa: 5,
  "1/min": 60,
  "l/min": 0.3,
};

interface Moved extends TouchMove {
  readonly at: number;
  /** How far beyond the least rise, to compare what has different units. */
  readonly strength: number;
}

/**
 * Which one somebody touched. Only a rise counts: what was warmed a minute ago cools down by itself. A state counts by its
 * first edge. Decided when the first has moved and those that move with it had their time, or when none did.
 * @param since when it was asked, monotonic milliseconds
 */
export function judgeTouch(watched: readonly Watched[], since: number, now: number): TouchVerdict {
  const all = watched.flatMap((each) => movement(each, since) ?? []);
  const first = Math.min(...all.map(({ at }) => at));
  const until = Math.min(first + TOGETHER_MS, since + GIVE_UP_MS);
  const moved = strongest(all.filter(({ at }) => at <= first + TOGETHER_MS));
  if (now < until) return { state: "waiting", moved, leftMs: Math.max(0, since + GIVE_UP_MS - now) };
  const state = moved.length === 0 ? "none" : moved.length === 1 ? "one" : "several";
  return { state, moved, leftMs: 0 };
}

/** A thing that measures two quantities moves once. */
function strongest(moved: readonly Moved[]): readonly TouchMove[] {
  const byThing = new Map<string, Moved>();
  for (const each of moved) {
    const known = byThing.get(each.key);
    if (known === undefined || each.strength > known.strength) byThing.set(each.key, each);
  }
  return [...byThing.values()]
    .sort((a, b) => b.strength - a.strength)
    .map(({ key, point, unit, by }) => ({ key, point, unit, by }));
}

function movement({ key, point, unit, samples }: Watched, since: number): Moved | null {
  return unit === "state"
    ? edge({ key, point, unit, samples }, since)
    : rise({ key, point, unit, samples }, since);
}

function edge({ key, point, unit, samples }: Watched, since: number): Moved | null {
  for (const [i, { mono, value }] of samples.entries()) {
    const before = samples[i - 1];
    if (mono < since || before === undefined || before.value === value) continue;
    return { key, point, unit, by: value - before.value, at: mono, strength: 1 };
  }
  return null;
}

function rise({ key, point, unit, samples }: Watched, since: number): Moved | null {
  const least = LEAST_RISE[unit];
  if (least === undefined) return null;
  let at: number | null = null;
  let by = 0;
  for (const { mono, value } of samples) {
    if (mono < since || (at !== null && mono > at + TOGETHER_MS)) continue;
    const past = samples.filter((each) => each.mono <= mono && each.mono >= mono - OWN_PAST_MS);
    const risen = value - Math.min(...past.map((each) => each.value));
    // More than: a sensor whose step is the least rise itself has not moved by one step.
    if (risen <= least) continue;
    at ??= mono;
    by = Math.max(by, risen);
  }
  return at === null ? null : { key, point, unit, by, at, strength: by / least };
}
