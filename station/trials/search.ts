import { fitFirthLine, type Tally, tally } from "../review/firth-line.js";
import {
  believe,
  believedBelow,
  believedQuantile,
  expectedVariance,
  type ThresholdBelief,
} from "../review/threshold-belief.js";
import { nextLevel } from "../review/up-and-down.js";

/** A cut at the plan's one power, and whether the owner counts it as through. */
export interface TrialCut {
  /** Above 0. */
  readonly speedMmS: number;
  readonly through: boolean;
}

export interface SearchOptions {
  /** The slowest and the fastest speed that may be set, mm/s. */
  readonly slowestMmS: number;
  readonly fastestMmS: number;
  /** What the machine's speed goes up by, mm/s; speeds are whole multiples of it. */
  readonly stepMmS: number;
  /** Where to begin; the middle between slowest and fastest (their geometric mean) where it is not given. */
  readonly firstMmS?: number;
  /** The search ends when both limits are this close to the estimate: 0.03 for 3 %. */
  readonly within: number;
  /** Of the limits, above 0.5 and below 1. */
  readonly confidence: number;
  /** The most cuts the owner allows. */
  readonly mostCuts: number;
}

export type SearchStop = "within" | "step" | "most-cuts" | "all-through" | "none-through";

/** mm/s. */
export interface SpeedLimits {
  readonly estimateMmS: number;
  readonly lowerMmS: number;
  readonly upperMmS: number;
}

/** Of the speed that is through every other time, with what is known of the one that is through 19 times in 20. */
export interface SearchState extends SpeedLimits {
  readonly surely: SpeedLimits;
  readonly n: number;
  readonly method: string;
  /** Null once there is a reason to stop. */
  readonly nextMmS: number | null;
  readonly chosenBy: "up-and-down" | "learning" | null;
  readonly stop: SearchStop | null;
  /** What to tell the owner: why it stops, or why it goes on. */
  readonly sentence: string;
  readonly warnings: readonly string[];
}

const METHOD =
  "Bayes on a grid of thresholds and steepnesses; up-and-down until both outcomes were seen, then the speed that is expected to narrow the threshold most";

/** How far beyond the allowed speeds the threshold may lie before anything was cut: half as fast again, either way. */
const BEYOND = Math.log(1.5);
/** Cuts at the end of the range, all alike, before the threshold is said to lie beyond it. */
const AT_END = 2;
const CANDIDATES = 40;
const START_STEPS = 8;
/** 0.1 and its multiples are not exact. */
const SLACK = 1e-9;
/** Logit of 19 in 20. */
const SURELY = Math.log(19);

/**
 * Where a search for the fastest speed that cuts through stands after these cuts, and what to cut next. It depends on nothing but
 * what it is given. The estimate is the belief's median; limits leave as much belief below as above.
 * @param cuts in the order of cutting, at any speeds
 * @throws RangeError with words for options or cuts that are not possible
 */
export function searchThrough(cuts: readonly TrialCut[], options: SearchOptions): SearchState {
  check(options);
  for (const { speedMmS } of cuts) {
    if (!(speedMmS > 0 && Number.isFinite(speedMmS)))
      throw new RangeError(`A cut's speed is above 0 mm/s; this one has ${speedMmS}.`);
  }
  const trials = cuts.map(({ speedMmS, through }) => ({ x: Math.log(speedMmS), hit: through }));
  const tallies = tally(trials);
  const belief = believe(tallies, {
    from: Math.log(options.slowestMmS) - BEYOND,
    to: Math.log(options.fastestMmS) + BEYOND,
  });
  const at = (logit: number) => limitsOf(belief, options.confidence, logit);
  const warnings = warningsOf(tallies, cuts.length);
  const found = { ...at(0), surely: at(SURELY), n: cuts.length, method: METHOD, warnings };
  const stop = stopOf(cuts, found, belief, options);
  if (stop !== null) {
    return { ...found, nextMmS: null, chosenBy: null, stop, sentence: stopSentence(stop, found, options) };
  }
  const start = startOf(trials, options);
  const next = start ?? mostTelling(belief, options);
  const sentence = nextSentence(next, start === null ? null : (cuts.at(-1) ?? "first"), found);
  return {
    ...found,
    nextMmS: next,
    chosenBy: start === null ? "learning" : "up-and-down",
    stop: null,
    sentence,
  };
}

function check({
  slowestMmS,
  fastestMmS,
  stepMmS,
  firstMmS,
  within,
  confidence,
  mostCuts,
}: SearchOptions): void {
  const wrong = (words: string) => {
    throw new RangeError(words);
  };
  if (!(slowestMmS > 0 && fastestMmS > slowestMmS && Number.isFinite(fastestMmS)))
    wrong("The slowest speed is above 0 mm/s, and the fastest is faster.");
  if (!(stepMmS > 0)) wrong("The machine's step of speed is above 0 mm/s.");
  if (Math.floor(fastestMmS / stepMmS + SLACK) <= Math.ceil(slowestMmS / stepMmS - SLACK))
    wrong("Between the slowest and the fastest speed there is a step of the machine, or more.");
  if (firstMmS !== undefined && !(firstMmS >= slowestMmS && firstMmS <= fastestMmS))
    wrong("The first speed is neither below the slowest nor above the fastest.");
  if (!(within > 0 && within < 1))
    wrong("How close the limits shall be is above 0 and below 1: 0.03 is 3 %.");
  if (!(confidence > 0.5 && confidence < 1)) wrong("The confidence of the limits is above 0.5 and below 1.");
  if (!(Number.isInteger(mostCuts) && mostCuts >= 1)) wrong("The most cuts are a whole number, 1 or more.");
}

function limitsOf(belief: ThresholdBelief, confidence: number, logit: number): SpeedLimits {
  const at = (share: number) => Math.exp(believedQuantile(belief, share, logit));
  return { estimateMmS: at(0.5), lowerMmS: at((1 - confidence) / 2), upperMmS: at((1 + confidence) / 2) };
}

/** Whether the last speed that way was tried often enough, always with that outcome. */
function ended(cuts: readonly TrialCut[], options: SearchOptions, through: boolean): boolean {
  const end = settable(Math.log(through ? options.fastestMmS : options.slowestMmS), options);
  const there = cuts.filter(({ speedMmS }) => (through ? speedMmS >= end : speedMmS <= end));
  return there.length >= AT_END && there.every((cut) => cut.through === through);
}

function stopOf(
  cuts: readonly TrialCut[],
  found: SpeedLimits & { n: number },
  belief: ThresholdBelief,
  options: SearchOptions,
): SearchStop | null {
  const { estimateMmS, lowerMmS, upperMmS, n } = found;
  const { within, confidence } = options;
  if (n === 0) return null;
  const beyond = (1 + confidence) / 2;
  if (ended(cuts, options, true) && 1 - believedBelow(belief, Math.log(options.fastestMmS)) > beyond)
    return "all-through";
  if (ended(cuts, options, false) && believedBelow(belief, Math.log(options.slowestMmS)) > beyond)
    return "none-through";
  if (upperMmS <= estimateMmS * (1 + within) && lowerMmS >= estimateMmS * (1 - within)) return "within";
  if (upperMmS - lowerMmS <= options.stepMmS) return "step";
  return n >= options.mostCuts ? "most-cuts" : null;
}

/** Up-and-down while only one outcome was seen, in steps of an eighth of the range. Null once it is over. */
function startOf(trials: readonly { x: number; hit: boolean }[], options: SearchOptions): number | null {
  const { slowestMmS, fastestMmS, firstMmS = Math.sqrt(slowestMmS * fastestMmS) } = options;
  const last = trials.at(-1);
  if (last === undefined) return settable(Math.log(firstMmS), options);
  if (trials.some(({ hit }) => hit !== last.hit)) return null;
  const step = Math.log(fastestMmS / slowestMmS) / START_STEPS;
  const next = settable(nextLevel({ level: last.x, response: !last.hit }, step), options);
  // At the end of the range, or where the machine's step is too coarse, there is nothing left to step to.
  return Math.abs(Math.log(next) - last.x) < step / 4 ? null : next;
}

/** Of the speeds around the belief, the one after which the threshold's variance is expected to be the least. */
function mostTelling(belief: ThresholdBelief, options: SearchOptions): number {
  const from = believedQuantile(belief, 0.01);
  const to = believedQuantile(belief, 0.99);
  let best = settable((from + to) / 2, options);
  let least = Number.POSITIVE_INFINITY;
  let before = Number.NaN;
  for (let i = 0; i < CANDIDATES; i++) {
    const speed = settable(from + ((to - from) * i) / (CANDIDATES - 1), options);
    if (speed === before) continue;
    before = speed;
    const variance = expectedVariance(belief, Math.log(speed));
    if (variance < least) {
      least = variance;
      best = speed;
    }
  }
  return best;
}

/** The nearest speed that may be set, on the scale of equal ratios. */
function settable(x: number, options: SearchOptions): number {
  const { slowestMmS, fastestMmS, stepMmS } = options;
  const first = Math.ceil(slowestMmS / stepMmS - SLACK);
  const last = Math.floor(fastestMmS / stepMmS + SLACK);
  const steps = Math.min(last, Math.max(first, Math.round(Math.exp(x) / stepMmS)));
  return Number((steps * stepMmS).toPrecision(12));
}

/** @param after the cut that an up-and-down step follows, or that there is none yet; null where the search has learnt enough to choose */
function nextSentence(
  next: number,
  after: TrialCut | "first" | null,
  found: SpeedLimits & { n: number },
): string {
  if (after === "first") return `Begin at ${next} mm/s.`;
  const limits = `After ${counted(found.n)} the threshold lies between ${shown(found.lowerMmS)} and ${shown(found.upperMmS)} mm/s.`;
  const why =
    after === null ? "where a cut should tell the most" : after.through ? "a step faster" : "a step slower";
  return `${limits} Next: ${next} mm/s, ${why}.`;
}

/** Cuts before their order is worth a word: fewer are out of order by chance every now and then. */
const ENOUGH = 6;

function warningsOf(tallies: readonly Tally[], n: number): string[] {
  const mixed = tallies.some(({ hits }) => hits > 0) && tallies.some(({ misses }) => misses > 0);
  const fit = fitFirthLine(tallies);
  return n >= ENOUGH && mixed && fit !== null && fit.slope >= 0
    ? ["Faster cuts were through as often as slower ones: see what else changed between the cuts."]
    : [];
}

function stopSentence(stop: SearchStop, found: SpeedLimits & { n: number }, options: SearchOptions): string {
  const limits = `${shown(found.lowerMmS)} to ${shown(found.upperMmS)} mm/s`;
  const about = `about ${shown(found.estimateMmS)} mm/s is through every other time (${limits})`;
  const after = `After ${counted(found.n)}`;
  switch (stop) {
    case "within":
      return `${after}: ${about}, within ${shown(options.within * 100)} % as asked. Enough.`;
    case "step":
      return `${after}: ${about}, closer than the machine can set. Enough.`;
    case "most-cuts":
      return `${after}, the most that you allowed: ${about}.`;
    case "all-through":
      return `${after}: the threshold lies above ${options.fastestMmS} mm/s, the fastest that you allowed. Allow faster ones, or less power.`;
    case "none-through":
      return `${after}: the threshold lies below ${options.slowestMmS} mm/s, the slowest that you allowed. Allow slower ones, or more power.`;
  }
}

function shown(value: number): string {
  return String(Number(value.toPrecision(3)));
}

function counted(n: number): string {
  return n === 1 ? "1 cut" : `${n} cuts`;
}
