import { type AlarmTransition, PRIORITIES } from "../model/alarm.js";
import {
  type AlarmPerformance,
  type FrequentAlarm,
  type Lengths,
  RECOMMENDED,
} from "../model/alarm-performance.js";

/** A transition with what is known of its clocks. */
export interface DatedTransition
  extends Pick<
    AlarmTransition,
    "alarm" | "kind" | "title" | "priority" | "transition" | "to" | "wall" | "mono"
  > {
  /** The boot its monotonic time belongs to. */
  readonly boot: string;
  /** Its wall time is right, or was put right since. */
  readonly dated: boolean;
}

export interface PerformanceWindow {
  /** Wall milliseconds; `from` is no earlier than there is anything to count. */
  readonly from: number;
  readonly to: number;
  /** The day of a wall time, as people there count days. */
  readonly dayOf: (wall: number) => string;
  readonly cut: boolean;
}

const TEN_MINUTES_MS = 600_000;
const DAY_MS = 86_400_000;
const TOP = 10;

/**
 * The figures of a window, in the words of ISA-18.2 / IEC 62682 (from memory). Lengths of time and rates go by the monotonic
 * clock, so that a clock that was set makes neither a flood nor a long alarm.
 * @param transitions in the order they were kept
 */
export function alarmPerformance(
  transitions: readonly DatedTransition[],
  { from, to, dayOf, cut }: PerformanceWindow,
): AlarmPerformance {
  const raised = transitions.filter(({ transition }) => transition === "raised");
  const of = (kind: AlarmTransition["transition"]) =>
    transitions.filter(({ transition }) => transition === kind);
  const days = Math.max(0, to - from) / DAY_MS;
  const frequent = counted(raised, raised.length);
  const topTen = frequent.slice(0, TOP);
  // A first hour is no day: what comes in it is not to be multiplied by 24.
  const perDay = raised.length / Math.max(1, days);
  return {
    ...{ from, to, days, cut },
    raised: raised.length,
    undated: raised.filter(({ dated }) => !dated).length,
    averagePerDay: days === 0 ? null : perDay,
    worstDay: worstDay(raised, dayOf),
    averagePerTenMinutes: days === 0 ? null : perDay / (DAY_MS / TEN_MINUTES_MS),
    ...ratesOf(raised),
    chattering: counted(of("chattering"), raised.length),
    frequent: topTen,
    topTenShare:
      raised.length === 0 ? null : topTen.reduce((sum, { count }) => sum + count, 0) / raised.length,
    toAcknowledge: lengthsUntil(transitions, ({ transition }) => transition === "acknowledged"),
    inAlarm: lengthsUntil(transitions, ({ transition }) => GONE.includes(transition)),
    reAlarmed: of("re-alarmed").length,
    shelved: of("shelved").length,
    takenOutOfService: of("out-of-service").length,
    suppressedByDesign: of("suppressed").length,
    priorities: PRIORITIES.map((priority) => {
      const count = raised.filter((each) => each.priority === priority).length;
      return { priority, count, share: raised.length === 0 ? 0 : count / raised.length };
    }),
  };
}

const GONE: readonly AlarmTransition["transition"][] = ["returned", "returned-to-normal", "latched"];
/** What ends the watching of an alarm without its condition having been seen to go. */
const HIDDEN: readonly AlarmTransition["transition"][] = ["shelved", "suppressed", "out-of-service"];

/** Most frequent first, those that are as frequent by their names. */
function counted(transitions: readonly DatedTransition[], all: number): FrequentAlarm[] {
  const found = new Map<string, FrequentAlarm>();
  for (const { alarm, kind, title, priority } of transitions) {
    const count = (found.get(alarm)?.count ?? 0) + 1;
    found.set(alarm, { alarm, kind, title, priority, count, share: all === 0 ? 0 : count / all });
  }
  return [...found.values()].sort((a, b) => b.count - a.count || a.title.localeCompare(b.title));
}

function worstDay(
  raised: readonly DatedTransition[],
  dayOf: (wall: number) => string,
): AlarmPerformance["worstDay"] {
  const days = new Map<string, number>();
  for (const { wall, dated } of raised) {
    if (dated) days.set(dayOf(wall), (days.get(dayOf(wall)) ?? 0) + 1);
  }
  return [...days].reduce<AlarmPerformance["worstDay"]>(
    (worst, [day, count]) => (worst === null || count > worst.count ? { day, count } : worst),
    null,
  );
}

/** Ten minutes of one boot, wherever they begin. */
function ratesOf(raised: readonly DatedTransition[]): Pick<AlarmPerformance, "peakInTenMinutes" | "floods"> {
  const boots = new Map<string, number[]>();
  for (const { boot, mono } of raised) {
    const times = boots.get(boot);
    if (times === undefined) boots.set(boot, [mono]);
    else times.push(mono);
  }
  let peakInTenMinutes = 0;
  const floods: number[] = [];
  for (const unsorted of boots.values()) {
    const times = unsorted.sort((a, b) => a - b);
    peakInTenMinutes = peaks(times).reduce((most, count) => Math.max(most, count), peakInTenMinutes);
    floods.push(...floodsOf(times));
  }
  const ms = floods.reduce((sum, length) => sum + length, 0);
  return { peakInTenMinutes, floods: { count: floods.length, ms, longestMs: Math.max(0, ...floods) } };
}

/** At each time how many there were in the ten minutes up to it. */
function peaks(times: readonly number[]): number[] {
  let first = 0;
  return times.map((time, i) => {
    while (time - (times[first] ?? time) >= TEN_MINUTES_MS) first += 1;
    return i - first + 1;
  });
}

/** The lengths of floods, milliseconds: from the first of the ten minutes in which there were too many, until there are few again. */
function floodsOf(times: readonly number[]): number[] {
  const { above, overBelow } = RECOMMENDED.flood;
  const counts = peaks(times);
  const lengths: number[] = [];
  let began: number | null = null;
  /** When fewer than `overBelow` are left of those up to `i`. */
  const overAt = (i: number) => (times[i - overBelow + 1] ?? 0) + TEN_MINUTES_MS;
  times.forEach((time, i) => {
    if (began !== null && time > overAt(i - 1)) {
      lengths.push(overAt(i - 1) - began);
      began = null;
    }
    const count = counts[i] ?? 0;
    if (began === null && count > above) began = times[i - count + 1] ?? time;
  });
  if (began !== null) lengths.push(overAt(times.length - 1) - began);
  return lengths;
}

/** How long it took from each rise until something came; what is still to come is not counted, nor what was hidden meanwhile. */
function lengthsUntil(
  transitions: readonly DatedTransition[],
  until: (transition: DatedTransition) => boolean,
): Lengths {
  const rises = new Map<string, DatedTransition>();
  const lengths: number[] = [];
  let unknown = 0;
  for (const transition of transitions) {
    const { alarm } = transition;
    const rise = rises.get(alarm);
    if (rise !== undefined && until(transition)) {
      const length = between(rise, transition);
      if (length === null) unknown += 1;
      else lengths.push(length);
    }
    if (transition.transition === "raised") rises.set(alarm, transition);
    else if (until(transition) || HIDDEN.includes(transition.transition)) rises.delete(alarm);
  }
  lengths.sort((a, b) => a - b);
  return { medianMs: median(lengths), longestMs: lengths.at(-1) ?? null, count: lengths.length, unknown };
}

/** Milliseconds; null where no clock can tell. */
function between(a: DatedTransition, b: DatedTransition): number | null {
  if (a.boot === b.boot) return Math.max(0, b.mono - a.mono);
  const ms = b.wall - a.wall;
  return a.dated && b.dated && ms >= 0 ? ms : null;
}

function median(sorted: readonly number[]): number | null {
  const half = sorted.length / 2;
  const [low, high] = [sorted[Math.ceil(half) - 1], sorted[Math.floor(half)]];
  return low === undefined || high === undefined ? null : (low + high) / 2;
}
