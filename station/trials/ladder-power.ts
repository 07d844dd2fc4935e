import { normalQuantile } from "../review/normal.js";
import { type Power, USUAL_POWER } from "../review/student.js";
import { ASSUMED_WIDTH } from "../review/threshold-belief.js";

/** A ladder of speeds, each cut once from each of two lots in every block. */
export interface Ladder {
  /** mm/s, the first and the last rung; rungs are at equal ratios. */
  readonly slowestMmS: number;
  readonly fastestMmS: number;
  /** 2 or more. */
  readonly rungs: number;
  readonly blocks: number;
}

/** How many times as fast the one lot's threshold must be as the other's. */
export interface SmallestRatio {
  /**
   * By the pairs of a block alone: both lots at the same speed, one through and the other not, and the exact sign test on such
   * pairs. What drifts from block to block cannot pass for a difference. Null where no difference within the ladder is found.
   */
  readonly byPairs: number | null;
  /** By the curves through all cuts, where nothing drifts; an approximation, and too hopeful for few blocks. */
  readonly byCurves: number;
}

/** Thresholds lie anywhere between two rungs. */
const OFFSETS = [-1 / 3, 0, 1 / 3];
const HALVINGS = 10;

/**
 * The smallest ratio of two lots' threshold speeds that a plan would find, with both thresholds about the middle of the ladder.
 * @param width of the curve: P(through) = 1 / (1 + exp(ln(speed/threshold) / width)). The default is an assumption, no source.
 * @throws RangeError for a ladder that is none
 */
export function smallestRatio(
  ladder: Ladder,
  { power, level }: Power = USUAL_POWER,
  width: number = ASSUMED_WIDTH,
): SmallestRatio {
  const rungs = rungsOf(ladder);
  if (!(width > 0)) throw new RangeError("The width of the curve is above 0.");
  const most = Math.log(ladder.fastestMmS / ladder.slowestMmS);
  const enough = (log: number) => pairsPower(ladder, Math.exp(log), level, width) >= power;
  let byPairs: number | null = null;
  // The further apart, the more pairs differ the right way round, and the fewer the wrong way.
  if (enough(most)) {
    let low = 0;
    let high = most;
    for (let i = 0; i < HALVINGS; i++) {
      const middle = (low + high) / 2;
      if (enough(middle)) high = middle;
      else low = middle;
    }
    byPairs = Math.exp(high);
  }
  const z = normalQuantile(1 - level / 2) + normalQuantile(power);
  return { byPairs, byCurves: Math.exp(z * Math.SQRT2 * thresholdError(rungs, ladder, width)) };
}

/** How often the exact sign test on the pairs finds, the right way round, a threshold that is `ratio` times as fast. */
export function pairsPower(ladder: Ladder, ratio: number, level: number, width: number): number {
  const rungs = rungsOf(ladder);
  const limits = mostAgainst(ladder.rungs * ladder.blocks, level);
  const half = Math.log(ratio) / 2;
  const each = OFFSETS.map((offset) => {
    const middle = middleOf(rungs, offset);
    const pairs = rungs.map((x) => {
      const faster = chance(x, middle + half, width);
      const slower = chance(x, middle - half, width);
      return { better: faster * (1 - slower), worse: slower * (1 - faster) };
    });
    return found(pairs, ladder.blocks, limits);
  });
  return each.reduce((sum, share) => sum + share, 0) / each.length;
}

/** The share of all outcomes of the pairs in which the sign test finds the better lot. */
function found(
  rungs: readonly { better: number; worse: number }[],
  blocks: number,
  limits: readonly number[],
): number {
  const size = rungs.length * blocks + 1;
  // How likely it is that so many pairs were for (a row each), and so many against.
  let shares = new Float64Array(size * size);
  shares[0] = 1;
  let pairs = 0;
  for (const { better, worse } of rungs) {
    for (let block = 0; block < blocks; block++) {
      const next = new Float64Array(size * size);
      for (let plus = 0; plus <= pairs; plus++) {
        for (let minus = 0; plus + minus <= pairs; minus++) {
          const at = plus * size + minus;
          const share = shares[at] as number;
          if (share < 1e-12) continue;
          next[at] = (next[at] as number) + share * (1 - better - worse);
          next[at + size] = (next[at + size] as number) + share * better;
          next[at + 1] = (next[at + 1] as number) + share * worse;
        }
      }
      shares = next;
      pairs += 1;
    }
  }
  let sum = 0;
  for (let plus = 0; plus < size; plus++) {
    for (let minus = 0; plus + minus < size; minus++) {
      if (plus > minus && minus <= (limits[plus + minus] as number))
        sum += shares[plus * size + minus] as number;
    }
  }
  return sum;
}

/** For every number of pairs that differ, the most against with which the two-sided sign test still finds; -1 for none. */
function mostAgainst(most: number, level: number): number[] {
  return Array.from({ length: most + 1 }, (_, n) => {
    let share = 0.5 ** n;
    let below = share;
    let against = -1;
    while (2 * below <= level && 2 * (against + 1) < n) {
      against += 1;
      share *= (n - against) / (against + 1);
      below += share;
    }
    return against;
  });
}

/** The standard error of ln(threshold) from one lot's cuts, by the information they have of threshold and width. */
function thresholdError(rungs: readonly number[], { blocks }: Ladder, width: number): number {
  const each = OFFSETS.map((offset) => {
    const middle = middleOf(rungs, offset);
    let [mm, mw, ww] = [0, 0, 0];
    for (const x of rungs) {
      const p = chance(x, middle, width);
      const z = (x - middle) / width;
      const information = (blocks * p * (1 - p)) / width ** 2;
      mm += information;
      mw += information * z;
      ww += information * z * z;
    }
    return Math.sqrt(ww / (mm * ww - mw * mw));
  });
  return each.reduce((sum, error) => sum + error, 0) / each.length;
}

function chance(x: number, threshold: number, width: number): number {
  return 1 / (1 + Math.exp((x - threshold) / width));
}

function rungsOf({ slowestMmS, fastestMmS, rungs, blocks }: Ladder): number[] {
  if (!(slowestMmS > 0 && fastestMmS > slowestMmS && Number.isFinite(fastestMmS))) {
    throw new RangeError("The slowest speed is above 0 mm/s, and the fastest is faster.");
  }
  if (!(Number.isInteger(rungs) && rungs >= 2 && Number.isInteger(blocks) && blocks >= 1)) {
    throw new RangeError("A ladder has two rungs or more, in one block or more.");
  }
  const step = Math.log(fastestMmS / slowestMmS) / (rungs - 1);
  return Array.from({ length: rungs }, (_, i) => Math.log(slowestMmS) + i * step);
}

function middleOf(rungs: readonly number[], offset: number): number {
  const [first, second] = rungs as [number, number];
  return (first + (rungs.at(-1) as number)) / 2 + offset * (second - first);
}
