import { fewestPairs } from "../review/paired.js";
import { smallestPairedDeviations } from "../review/paired-power.js";
import { type Power, USUAL_POWER } from "../review/student.js";
import { ASSUMED_WIDTH } from "../review/threshold-belief.js";
import { type Ladder, smallestRatio } from "./ladder-power.js";
import { leastP } from "./layout.js";

/** What a plan says of itself before anything is cut: plain sentences with their numbers. */
export interface PlanWords {
  /** The least p that the plan can come to, whatever it finds. */
  readonly leastP: number;
  /** Whether that is above the level: then it can never show a difference. */
  readonly tooSmall: boolean;
  readonly sentences: readonly string[];
}

/**
 * Pieces of two lots that are graded or measured, compared pair by pair within the blocks, as the decision compares them.
 * @param n pairs, 1 or more
 */
export function piecesWords(n: number, asked: Power = USUAL_POWER): PlanWords {
  if (!(Number.isInteger(n) && n >= 1)) throw new RangeError("A plan compares one pair of pieces, or more.");
  const least = pairsLeastP(n);
  const tooSmall = least > asked.level;
  if (tooSmall) {
    const fewest = fewestPairs(1 - asked.level);
    const words = `Grades and measurements: ${n === 1 ? "1 pair of pieces is" : `${n} pairs of pieces are`} too few to show a difference, however large it is; ${fewest} pairs are the fewest that can (p is never below ${twoDigits(least)}).`;
    return { leastP: least, tooSmall, sentences: [words] };
  }
  const sentences = [
    `Grades and measurements: ${n} pairs of pieces can show a difference; where all of them differ the same way, p is ${twoDigits(least)}.`,
  ];
  const deviations = smallestPairedDeviations(n, asked);
  if (deviations !== null)
    sentences.push(
      `Of what is measured, such as the press-out force, a difference is found ${often(asked.power)} if it is ${deviations.toFixed(1)} times as large as the spread between pieces of one lot.`,
    );
  return { leastP: least, tooSmall, sentences };
}

/** Of pairs within which the labels are exchanged. */
function pairsLeastP(pairs: number): number {
  return leastP(Array.from({ length: pairs }, () => 1));
}

/**
 * A ladder of speeds cut from each of the plan's lots in blocks.
 * @param lots 2 to 4; with more than two, each pair is compared at a share of the level (C. Bonferroni's rule)
 */
export function ladderWords(ladder: Ladder, lots: number, asked: Power = USUAL_POWER): PlanWords {
  if (!(Number.isInteger(lots) && lots >= 2)) throw new RangeError("A comparison is of two lots, or more.");
  const comparisons = (lots * (lots - 1)) / 2;
  const level = asked.level / comparisons;
  const pairs = ladder.rungs * ladder.blocks;
  const least = pairsLeastP(pairs);
  const { byPairs, byCurves } = smallestRatio(ladder, { ...asked, level });
  const tooSmall = least > level;
  const first = tooSmall
    ? `Fastest speed, block by block: ${pairs} pairs are too few to show a difference, however large it is (p is never below ${twoDigits(least)}).`
    : byPairs === null
      ? `Fastest speed, block by block: no difference that fits on these speeds is found ${often(asked.power)}.`
      : `Fastest speed, block by block: if one lot can be cut ${percent(byPairs)} % faster than the other, that is found ${often(asked.power)}.`;
  const sentences = [
    first,
    `Fastest speed, from all cuts together: ${percent(byCurves)} % faster is found as often, as long as nothing changes between the blocks.`,
    `This assumes that a speed which cuts through once in 20 times is ${percent(19 ** (2 * ASSUMED_WIDTH))} % above one which does so 19 times in 20; there is no source for it.`,
  ];
  return { leastP: least, tooSmall, sentences };
}

/** Upwards: a plan promises no more than it finds. */
function percent(ratio: number): string {
  return String(Math.ceil(100 * (ratio - 1) - 1e-9));
}

function twoDigits(p: number): string {
  return p >= 0.1 ? p.toFixed(2) : String(Number(p.toPrecision(2)));
}

function often(power: number): string {
  return `${Number((10 * power).toPrecision(2))} times in 10`;
}
