import type { ComparableRun, ReviewRun } from "../../model/review.js";
import { counted } from "../counted.js";

import { stockName, stockOf } from "./stocks.js";

/** Good runs that a bad one is held against. */
export interface Comparable {
  readonly runs: readonly (ReviewRun & ComparableRun)[];
  /** Which were taken and why, a sentence. */
  readonly why: string;
}

/** As many tell something; the circle is drawn wider until there are. */
const ENOUGH = 10;
/** More no picture shows. */
const MOST = 100;
/** Shares of the speed, narrow to wide: how much slower a run may be and still be held against this one. */
const CIRCLES = [0.1, 0.2, 0.35];
/** Of power, as a share: what a dial gives again. */
const SAME_POWER = 0.05;

/** Good runs by their material, for looking many bad ones up. */
export type GoodRuns = ReadonlyMap<string | null, readonly (ReviewRun & ComparableRun)[]>;

export function goodRunsOf(all: readonly ReviewRun[]): GoodRuns {
  const good = new Map<string | null, (ReviewRun & ComparableRun)[]>();
  for (const run of all) {
    if (run.through !== true || run.speed_mm_s === null) continue;
    const its = good.get(run.material) ?? [];
    its.push(run as ReviewRun & ComparableRun);
    good.set(run.material, its);
  }
  return good;
}

/**
 * Runs that went through and are like one that did not: the same stock, power and passes, and a speed that is near or faster, for
 * what went through faster is good all the more. The lot first, then its material; the narrowest circle that holds 10; of many those
 * that are nearest in time.
 */
export function comparableTo(run: ReviewRun, good: GoodRuns): Comparable {
  const speed = run.speed_mm_s;
  if (speed === null)
    return { runs: [], why: "The speed of this run is not known: none can be said to be like it." };
  const widest = speed * (1 - (CIRCLES.at(-1) as number));
  const alike = (good.get(run.material) ?? []).filter(
    (other) => other.speed_mm_s >= widest && isSameSetting(run, other),
  );
  const stock = stockOf(run);
  const stocks = [
    { runs: alike.filter((other) => stockOf(other) === stock), word: stockName(run) },
    ...(run.lot !== null && run.material !== null
      ? [{ runs: alike, word: `${run.material} of any lot` }]
      : []),
  ];
  const tries = stocks.flatMap(({ runs, word }) =>
    CIRCLES.map((slower) => {
      const least = speed * (1 - slower);
      return { runs: runs.filter((other) => other.speed_mm_s >= least), word, least };
    }),
  );
  const most = Math.max(...tries.map(({ runs }) => runs.length));
  const best = tries.find(({ runs }) => runs.length >= Math.min(ENOUGH, most));
  if (best === undefined || best.runs.length === 0)
    return {
      runs: [],
      why: `No run of ${stocks.at(-1)?.word} went through ${alikeWords(run)} at ${shownSpeed(widest)} mm/s or faster.`,
    };
  const runs = nearest(best.runs, run);
  const nearestWords = runs.length < best.runs.length ? `, the nearest in time of ${best.runs.length}` : "";
  return {
    runs,
    why: `${counted(runs.length, "run")} of ${best.word} that went through ${alikeWords(run)} at ${shownSpeed(best.least)} mm/s or faster${nearestWords}; this one was cut at ${shownSpeed(speed)} mm/s.`,
  };
}

function alikeWords({ power_pct, passes }: ReviewRun): string {
  const known = [...(power_pct === null ? [] : ["power"]), ...(passes === null ? [] : ["passes"])];
  return known.length === 0 ? "(power and passes are not known)" : `with the same ${known.join(" and ")}`;
}

function nearest<T extends ReviewRun>(runs: readonly T[], to: ReviewRun): readonly T[] {
  if (runs.length <= MOST) return runs;
  const away = ({ wall }: T) => Math.abs((wall ?? 0) - (to.wall ?? 0));
  return [...runs].sort((a, b) => away(a) - away(b)).slice(0, MOST);
}

function isSameSetting(run: ReviewRun, other: ReviewRun): boolean {
  const { power_pct: power } = run;
  const samePower =
    power === null || other.power_pct === null
      ? power === other.power_pct
      : Math.abs(other.power_pct / power - 1) <= SAME_POWER;
  return samePower && run.passes === other.passes;
}

function shownSpeed(speed: number): string {
  return String(Number(speed.toFixed(1)));
}
