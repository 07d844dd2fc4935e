import type { ComparableRun, ReviewRun } from "../../model/review.js";
import { counted } from "./base.js";
import { stockOf } from "./stocks.js";

/** Good runs that a bad one is held against. */
export interface Comparable {
  readonly runs: readonly (ReviewRun & ComparableRun)[];
  /** Which were taken and why, a sentence. */
  readonly why: string;
}

/** As many tell something; the circle is drawn wider until there are. */
const ENOUGH = 10;
/** Shares of the speed, narrow to wide: how much slower a run may be and still be held against this one. */
const CIRCLES = [0.1, 0.2, 0.35];
/** Of power, as a share: what a dial gives again. */
const SAME_POWER = 0.05;

/**
 * Runs that went through and are like one that did not: the same stock, power and passes, and a speed that is near or faster, for
 * what went through faster is good all the more. The lot first, then its material; the narrowest circle that holds 10.
 */
export function comparableTo(run: ReviewRun, all: readonly ReviewRun[]): Comparable {
  const speed = run.speed_mm_s;
  if (speed === null)
    return { runs: [], why: "The speed of this run is not known: none can be said to be like it." };
  const good = all.filter(
    (other): other is ReviewRun & ComparableRun =>
      other.through === true && other.id !== run.id && other.speed_mm_s !== null && isSameSetting(run, other),
  );
  const stocks = [
    { of: (other: ReviewRun) => stockOf(other) === stockOf(run), word: stockOf(run) || "the same stock" },
    ...(run.lot !== null && run.material !== null
      ? [{ of: (other: ReviewRun) => other.material === run.material, word: `${run.material} of any lot` }]
      : []),
  ];
  const tries = stocks.flatMap((stock) => CIRCLES.map((slower) => ({ stock, slower })));
  let best: Comparable | null = null;
  for (const { stock, slower } of tries) {
    const least = speed * (1 - slower);
    const runs = good.filter((other) => stock.of(other) && other.speed_mm_s >= least);
    if (best !== null && runs.length <= best.runs.length) continue;
    best = {
      runs,
      why: `${counted(runs.length, "run")} of ${stock.word} that went through with the same power and passes at ${shownSpeed(least)} mm/s or faster; this one was cut at ${shownSpeed(speed)}.`,
    };
    if (runs.length >= ENOUGH) break;
  }
  if (best === null || best.runs.length === 0)
    return {
      runs: [],
      why: `No run of ${stocks.at(-1)?.word} went through with the same power and passes at ${shownSpeed(speed * (1 - (CIRCLES.at(-1) as number)))} mm/s or faster.`,
    };
  return best;
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
