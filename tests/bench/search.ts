import { createRandom } from "../../station/random.js";
import { fitFirthLine, tally } from "../../station/review/firth-line.js";
import { thresholdSpeed } from "../../station/review/threshold.js";
import { believe, believedQuantile } from "../../station/review/threshold-belief.js";
import { type SearchOptions, searchThrough, type TrialCut } from "../../station/trials/search.js";
import { type BenchResult, quantile } from "./result.js";

const SERIES = 200;
const SLOWEST_MM_S = 10;
const CLOSE = 0.03;
const SHARE = 0.9;
const MOST_CUTS = 60;
const BUDGET_MS = 20;
const RUNGS = [5, 7, 10, 14, 20, 28, 40];
const MOST_LADDER = 600;
const COUNTS = [6, 12, 24];

/** A bench of its own: how far apart the range's ends are, and how sloping cut-through is (0.03: 19 % from 19 in 20 to 1 in 20). */
interface Setting {
  readonly ratio: number;
  readonly width: number;
}

const SETTINGS: readonly (Setting & { readonly bound: BenchResult["bound"] })[] = [
  { ratio: 2, width: 0.03, bound: { atLeast: 1.5 } },
  { ratio: 2, width: 0.01, bound: { atLeast: 1.5 } },
  { ratio: 2, width: 0.05, bound: { atLeast: 1.5 } },
  { ratio: 4, width: 0.01, bound: { atLeast: 1.5 } },
  { ratio: 4, width: 0.03, bound: { atLeast: 1.5 } },
  { ratio: 1.4, width: 0.01, bound: null },
  { ratio: 1.4, width: 0.03, bound: null },
];

/**
 * Cuts that are needed until 9 in 10 of 200 seeded series have the fastest through-cutting speed (that of every other time) within
 * 3 %: the search, against the fixed ladder over the same range of speeds with the same cuts, at the number of rungs and with the
 * estimate (Firth's, or the search's own) that need the fewest. The truth is anywhere in the middle nine tenths of the range.
 */
export async function benchSearch(): Promise<BenchResult[]> {
  const took: number[] = [];
  const needed = SETTINGS.map(({ bound, ...setting }) => {
    const search = searchNeeds(setting, took);
    const ladder = ladderNeeds(setting);
    return {
      name: `cuts to within 3 % in 9 of 10 series, range 1 to ${setting.ratio}, width ${setting.width}: ladder of ${ladder.rungs} rungs`,
      value: ladder.cuts,
      baseline: search,
      against: "the search",
      unit: "cuts",
      bound,
    };
  });
  const stops = [0.01, 0.03, 0.08].flatMap(atItsStop);
  const held = [0.01, 0.03, 0.08].flatMap(coverage);
  const speed: BenchResult = {
    name: `processor time to choose the next speed, p99 of ${took.length}`,
    value: quantile(took, 0.99),
    baseline: BUDGET_MS,
    against: `the budget of ${BUDGET_MS} ms`,
    unit: "ms",
    bound: { atMost: 1 },
  };
  return [...needed, ...stops, ...held, speed];
}

/** One maker's sheet: where its threshold lies, and what comes of a cut. */
function sheet({ ratio, width }: Setting, series: number) {
  const random = createRandom(11, series, Math.round(ratio * 100), Math.round(width * 1000));
  const truth = SLOWEST_MM_S * ratio ** (0.05 + 0.9 * random());
  const cut = (speedMmS: number): TrialCut => ({
    speedMmS,
    through: random() < 1 / (1 + (speedMmS / truth) ** (1 / width)),
  });
  return { truth, cut };
}

function optionsOf(ratio: number, more: Partial<SearchOptions> = {}): SearchOptions {
  return {
    slowestMmS: SLOWEST_MM_S,
    fastestMmS: SLOWEST_MM_S * ratio,
    stepMmS: 0.1,
    within: 1e-6,
    confidence: SHARE,
    mostCuts: 1000,
    ...more,
  };
}

const near = (estimate: number, truth: number) => Math.abs(estimate / truth - 1) <= CLOSE;

function searchNeeds(setting: Setting, took: number[]): number {
  const options = optionsOf(setting.ratio);
  const all = Array.from({ length: SERIES }, (_, series) => ({
    ...sheet(setting, series),
    cuts: [] as TrialCut[],
    state: searchThrough([], options),
  }));
  for (let n = 1; n <= MOST_CUTS; n++) {
    for (const each of all) {
      if (each.state.nextMmS === null) continue;
      each.cuts.push(each.cut(each.state.nextMmS));
      const since = process.cpuUsage();
      each.state = searchThrough(each.cuts, options);
      // Of the processor, not of the clock: a busy machine only makes it wait.
      const { user, system } = process.cpuUsage(since);
      took.push((user + system) / 1000);
    }
    const good = all.filter(({ state, truth }) => near(state.estimateMmS, truth)).length;
    if (good >= SHARE * SERIES) return n;
  }
  return Number.POSITIVE_INFINITY;
}

type Estimate = (cuts: readonly TrialCut[], ratio: number) => number;

/** As `thresholdSpeed` does; the end of the range where it has none. */
const firth: Estimate = (cuts, ratio) => {
  const fit = fitFirthLine(
    tally(cuts.map(({ speedMmS, through }) => ({ x: Math.log(speedMmS), hit: through }))),
  );
  const share = cuts.filter(({ through }) => through).length / cuts.length;
  if (fit === null || fit.slope >= 0) return share > 0.5 ? SLOWEST_MM_S * ratio : SLOWEST_MM_S;
  const speed = Math.exp(-fit.intercept / fit.slope);
  return Math.min(SLOWEST_MM_S * ratio, Math.max(SLOWEST_MM_S, speed));
};

const bayes: Estimate = (cuts, ratio) => {
  const tallies = tally(cuts.map(({ speedMmS, through }) => ({ x: Math.log(speedMmS), hit: through })));
  const range = { from: Math.log(SLOWEST_MM_S), to: Math.log(SLOWEST_MM_S * ratio) };
  return Math.exp(believedQuantile(believe(tallies, range), 0.5));
};

function ladderNeeds(setting: Setting): { cuts: number; rungs: number } {
  let best = { cuts: Number.POSITIVE_INFINITY, rungs: 0 };
  const least = (rungs: number, estimate: Estimate) => {
    const enough = (replicates: number) =>
      goodLadders(setting, rungs, replicates, estimate) >= SHARE * SERIES;
    const most = Math.floor(Math.min(MOST_LADDER, best.cuts - 1) / rungs);
    if (most < 1 || !enough(most)) return;
    let low = 0;
    let high = most;
    while (high - low > 1) {
      const middle = Math.floor((low + high) / 2);
      if (enough(middle)) high = middle;
      else low = middle;
    }
    best = { cuts: high * rungs, rungs };
  };
  for (const rungs of RUNGS) least(rungs, firth);
  for (const rungs of RUNGS) if (Math.abs(Math.log(rungs / best.rungs)) < 0.5) least(rungs, bayes);
  return best;
}

function goodLadders(setting: Setting, rungs: number, replicates: number, estimate: Estimate): number {
  let good = 0;
  for (let series = 0; series < SERIES; series++) {
    const { truth, cut } = sheet(setting, series);
    const cuts = Array.from({ length: rungs * replicates }, (_, i) =>
      cut(SLOWEST_MM_S * setting.ratio ** (((i % rungs) + 0.5) / rungs)),
    );
    if (near(estimate(cuts, setting.ratio), truth)) good += 1;
  }
  return good;
}

/** What an owner gets who asks for limits of 90 % within 3 %, and allows 40 cuts. */
function atItsStop(width: number): BenchResult[] {
  const options = optionsOf(2, { within: CLOSE, mostCuts: 40 });
  const counts: number[] = [];
  let good = 0;
  for (let series = 0; series < SERIES; series++) {
    const { truth, cut } = sheet({ ratio: 2, width }, series);
    const cuts: TrialCut[] = [];
    let state = searchThrough(cuts, options);
    while (state.nextMmS !== null) {
      cuts.push(cut(state.nextMmS));
      state = searchThrough(cuts, options);
    }
    counts.push(cuts.length);
    if (within(state.lowerMmS, state.upperMmS, truth)) good += 1;
  }
  const name = `a search told to stop within 3 % or at 40 cuts, range 1 to 2, width ${width}`;
  return [
    holding(
      `${name} (median ${quantile(counts, 0.5)} cuts, 9 in 10 by ${quantile(counts, 0.9)}): limits that hold`,
      good,
    ),
  ];
}

/** Limits of 90 % after so many cuts: those of the search, and those of the curve through a ladder of six rungs. */
function coverage(width: number): BenchResult[] {
  const setting = { ratio: 2, width };
  const held = COUNTS.map((n) => ({ n, bySearch: 0, surelyBySearch: 0, byCurve: 0, surely: 0 }));
  for (let series = 0; series < SERIES; series++) {
    const sought = sheet(setting, series);
    const laddered = sheet(setting, series + SERIES);
    const cuts: TrialCut[] = [];
    const ladder: TrialCut[] = [];
    let state = searchThrough(cuts, optionsOf(2));
    for (const at of held) {
      while (cuts.length < at.n && state.nextMmS !== null) {
        cuts.push(sought.cut(state.nextMmS));
        state = searchThrough(cuts, optionsOf(2));
      }
      while (ladder.length < at.n) {
        ladder.push(laddered.cut(SLOWEST_MM_S * 2 ** (((ladder.length % 6) + 0.5) / 6)));
      }
      const { half, surely } = thresholdSpeed(ladder);
      if (within(state.lowerMmS, state.upperMmS, sought.truth)) at.bySearch += 1;
      const sure = state.surely;
      if (within(sure.lowerMmS, sure.upperMmS, sought.truth / 19 ** width)) at.surelyBySearch += 1;
      if (within(half.lower, half.upper, laddered.truth)) at.byCurve += 1;
      if (within(surely.lower, surely.upper, laddered.truth / 19 ** width)) at.surely += 1;
    }
  }
  return held.flatMap(({ n, bySearch, surelyBySearch, byCurve, surely }) => [
    holding(`limits of the search that hold, width ${width}, ${n} cuts`, bySearch),
    holding(
      `the same of the speed that is through 19 times in 20, width ${width}, ${n} cuts`,
      surelyBySearch,
    ),
    holding(`limits of the curve that hold, width ${width}, ${n} cuts`, byCurve),
    holding(`the same of the speed that is through 19 times in 20, width ${width}, ${n} cuts`, surely),
  ]);
}

function within(lower: number | null, upper: number | null, x: number): boolean {
  return (lower ?? 0) <= x && x <= (upper ?? Number.POSITIVE_INFINITY);
}

function holding(name: string, good: number): BenchResult {
  return {
    name,
    value: (100 * good) / SERIES,
    baseline: 100 * SHARE,
    against: "what limits of 90 % promise",
    unit: "%",
    bound: { atLeast: 0.9 },
  };
}
