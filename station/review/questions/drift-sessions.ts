import type { ReviewRun } from "../../model/review.js";
import { counted } from "../counted.js";
import { fitFirthLine, tally } from "../firth-line.js";

/** A run of which is known when, how fast and with what outcome it was cut. */
export type TimedRun = ReviewRun & {
  readonly wall: number;
  readonly speed_mm_s: number;
  readonly through: boolean;
};

/** One time that the reference was cut, of which a speed can be told. */
export interface Session {
  /** Milliseconds UTC of its first run. */
  readonly wall: number;
  /** The logarithm of the speed in mm/s at which every other cut is through. */
  readonly logSpeed: number;
  /** How far the tried speeds on either side of it are apart, in the logarithm: no finer can it be told. */
  readonly gap: number;
  readonly runs: readonly TimedRun[];
}

/** One of which only a bound is known: everything was through up to a speed, or nothing from a speed on. */
export interface BoundSession {
  readonly wall: number;
  readonly through: boolean;
  /** The fastest that was through, or the slowest that was not, mm/s. */
  readonly speed_mm_s: number;
}

export interface Sessions {
  /** In the order of time. */
  readonly told: readonly Session[];
  readonly bounds: readonly BoundSession[];
  readonly warnings: readonly string[];
}

/** Milliseconds: what is cut within so long of the first cut, and is of no block, was cut in one go. */
const TOGETHER_MS = 12 * 3_600_000;
/** A block of the same name that is cut later than this is another one. */
const BLOCK_MS = 7 * 86_400_000;
/** With fewer cuts a curve says no more than the two speeds between which it falls. */
const CURVE_CUTS = 6;

/**
 * The times at which a reference was cut at one setting, with the speed that still cut at each. Runs of another power or number of
 * passes than most are left out, because the speed goes with them; and all that is left out is counted.
 * @param runs of the reference, in any order
 */
export function sessionsOf(runs: readonly ReviewRun[]): Sessions {
  const warnings: string[] = [];
  const timed = runs.filter(isTimed);
  if (timed.length < runs.length)
    warnings.push(
      `Left out: ${counted(runs.length - timed.length, "run")} of which time, speed or outcome is not known.`,
    );
  const alike = ofOneSetting(timed);
  if (alike.length < timed.length)
    warnings.push(
      `Left out: ${counted(timed.length - alike.length, "run")} at another power or number of passes than most.`,
    );
  const told: Session[] = [];
  const bounds: BoundSession[] = [];
  let muddled = 0;
  for (const session of grouped(alike)) {
    const found = speedOf(session);
    const wall = (session[0] as TimedRun).wall;
    if (found === null) muddled += 1;
    else if ("through" in found) bounds.push({ wall, ...found });
    else told.push({ wall, ...found, runs: session });
  }
  if (bounds.length > 0) warnings.push(boundWords(bounds));
  if (muddled > 0)
    warnings.push(
      `Left out: ${counted(muddled, "session")} in which the fastest cut was through and a slower one was not.`,
    );
  return { told, bounds, warnings };
}

function isTimed(run: ReviewRun): run is TimedRun {
  const { wall, speed_mm_s: speed, through } = run;
  return (
    wall !== null &&
    isMoment(wall) &&
    speed !== null &&
    Number.isFinite(speed) &&
    speed > 0 &&
    through !== null
  );
}

/** Whether it is a time of the calendar: milliseconds that a Date takes (ECMA-262, time values). */
export function isMoment(wall: number): boolean {
  return Math.abs(wall) <= 8.64e15;
}

/** Those at the power and number of passes that came most often; of two that came as often, the greater. */
function ofOneSetting(runs: readonly TimedRun[]): readonly TimedRun[] {
  const bySetting = new Map<string, TimedRun[]>();
  for (const run of runs) {
    const key = `${run.power_pct} ${run.passes}`;
    const its = bySetting.get(key);
    if (its === undefined) bySetting.set(key, [run]);
    else its.push(run);
  }
  const all = [...bySetting].sort(([a, of], [b, other]) => other.length - of.length || (a < b ? 1 : -1));
  return all[0]?.[1] ?? [];
}

/** What was cut in one go, each in the order of time, and so are they. */
function grouped(runs: readonly TimedRun[]): TimedRun[][] {
  const sorted = [...runs].sort((a, b) => a.wall - b.wall || (a.id < b.id ? -1 : 1));
  const sessions: TimedRun[][] = [];
  const open = new Map<string | null, TimedRun[]>();
  for (const run of sorted) {
    const its = open.get(run.block);
    const within = run.block === null ? TOGETHER_MS : BLOCK_MS;
    if (its !== undefined && run.wall - (its[0] as TimedRun).wall < within) {
      its.push(run);
      continue;
    }
    const begun = [run];
    open.set(run.block, begun);
    sessions.push(begun);
  }
  return sessions;
}

type Told = Pick<Session, "logSpeed" | "gap">;

/** Null where faster cuts were through and slower ones were not, so that nothing can be told. */
function speedOf(runs: readonly TimedRun[]): Told | Omit<BoundSession, "wall"> | null {
  const through = speedsOf(runs, true);
  const not = speedsOf(runs, false);
  if (not.length === 0) return { through: true, speed_mm_s: through.at(-1) as number };
  if (through.length === 0) return { through: false, speed_mm_s: not[0] as number };
  const curve = runs.length < CURVE_CUTS ? null : fromCurve(runs);
  if (curve !== null) return curve;
  const fastest = through.at(-1) as number;
  const above = not.find((speed) => speed > fastest);
  if (above === undefined) return null;
  return { logSpeed: (Math.log(fastest) + Math.log(above)) / 2, gap: Math.log(above / fastest) };
}

function speedsOf(runs: readonly TimedRun[], through: boolean): number[] {
  return runs
    .filter((run) => run.through === through)
    .map(({ speed_mm_s }) => speed_mm_s)
    .sort((a, b) => a - b);
}

/** Where a curve falls through one half between two of the tried speeds; null where it does not. */
function fromCurve(runs: readonly TimedRun[]): Told | null {
  const tallies = tally(runs.map(({ speed_mm_s, through }) => ({ x: Math.log(speed_mm_s), hit: through })));
  const fit = tallies.length < 2 ? null : fitFirthLine(tallies);
  if (fit === null || !(fit.slope < 0)) return null;
  const logSpeed = -fit.intercept / fit.slope;
  const above = tallies.findIndex(({ x }) => x >= logSpeed);
  const [lower, upper] = [tallies[above - 1], tallies[above]];
  return lower === undefined || upper === undefined ? null : { logSpeed, gap: upper.x - lower.x };
}

function boundWords(bounds: readonly BoundSession[]): string {
  const all = bounds.filter(({ through }) => through).length;
  const parts = [
    ...(all > 0 ? [`${counted(all, "session")} in which everything was through`] : []),
    ...(bounds.length > all ? [`${counted(bounds.length - all, "session")} in which nothing was`] : []),
  ];
  return `Left out: ${parts.join(" and ")}; they show a bound and no speed. Cut faster and slower ones in a session until some are through and some are not.`;
}
