import { REVIEW_CONDITIONS } from "../../station/model/review.js";
import { createRandom } from "../../station/random.js";
import type { Block } from "../../station/review/block.js";
import { fitFirth } from "../../station/review/firth.js";
import type { FirthData } from "../../station/review/firth-design.js";
import { firthLimits } from "../../station/review/firth-limits.js";
import { firthTest } from "../../station/review/firth-test.js";
import { INTERCEPT } from "../../station/review/intercept.js";
import { gradedDifference } from "../../station/review/ordinal.js";
import { reviewRows } from "../../station/review/questions/rows.js";
import { benchDrift } from "./drift.js";
import { history } from "./histories.js";
import { type BenchResult, quantile } from "./result.js";

const ROWS = 200;
const TERMS = 6;
const BLOCKS = 12;
const SEASONS = 40;
const BUDGET_MS = 20;
/** A sixth of what a whole review of 500 runs may take. */
const GRADES_BUDGET_MS = 50;
const WHOLE_RUNS = 500;
const WHOLE_BUDGET_MS = 300;

/** How long the statistics of a season's runs take, against what the reading thread has for them. */
export async function benchReview(): Promise<BenchResult[]> {
  const limits: number[] = [];
  const tests: number[] = [];
  const grades: number[] = [];
  for (let season = 0; season < SEASONS; season++) {
    const data = runs(season);
    limits.push(
      processorMs(() => {
        const fit = fitFirth(data);
        for (const { term } of fit.coefficients) firthLimits(fit, term);
      }),
    );
    tests.push(
      processorMs(() => {
        const fit = fitFirth(data);
        for (const { term } of fit.coefficients) if (term !== INTERCEPT) firthTest(fit, [term]);
      }),
    );
  }
  for (let season = 0; season < SEASONS; season++) {
    const blocks = gradedBlocks(season);
    grades.push(processorMs(() => void gradedDifference(blocks)));
  }
  const whole = Array.from({ length: SEASONS }, (_, season) => {
    const all = history({ runs: WHOLE_RUNS, ratio: 1.1, effects: { coolant_C: -1 } }, 73, season);
    return processorMs(() => void reviewRows(all, REVIEW_CONDITIONS, []));
  });
  const about = { baseline: BUDGET_MS, against: `the budget of ${BUDGET_MS} ms`, unit: "ms" };
  const what = `${ROWS} runs, ${TERMS} terms`;
  return [
    {
      ...about,
      name: `Firth's regression with profile limits of all coefficients, ${what}, median of ${SEASONS}`,
      value: quantile(limits, 0.5),
      bound: { atMost: 1 },
    },
    {
      ...about,
      name: `the same, the longest of ${SEASONS}`,
      value: quantile(limits, 1),
      // The first is among them, before anything has been compiled.
      bound: null,
    },
    {
      ...about,
      name: `Firth's regression with penalised likelihood-ratio tests of all terms, ${what}, median of ${SEASONS}`,
      value: quantile(tests, 0.5),
      bound: { atMost: 1 },
    },
    {
      name: `whole review of ${WHOLE_RUNS} runs, each bad one and two stocks, median of ${SEASONS}`,
      ...{ value: quantile(whole, 0.5), baseline: WHOLE_BUDGET_MS },
      ...{ against: `the budget of ${WHOLE_BUDGET_MS} ms`, unit: "ms", bound: { atMost: 1 } },
    },
    {
      ...about,
      ...{ baseline: WHOLE_BUDGET_MS, against: `the budget of ${WHOLE_BUDGET_MS} ms` },
      name: `the same, the longest of ${SEASONS}`,
      value: quantile(whole, 1),
      // The first is among them, before anything has been compiled.
      bound: null,
    },
    {
      ...about,
      ...{ baseline: GRADES_BUDGET_MS, against: `the budget of ${GRADES_BUDGET_MS} ms` },
      name: `exact limits of grades, ${BLOCKS} blocks of 7 or 8 pieces, median of ${SEASONS}`,
      value: quantile(grades, 0.5),
      bound: { atMost: 1 },
    },
    ...benchDrift(),
  ];
}

/** Of the processor, not of the clock: a busy machine only makes it wait. */
function processorMs(work: () => void): number {
  const since = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(since);
  return (user + system) / 1000;
}

/** Conditions that hang together somewhat, of which the first two matter, in every fourth season so much that they separate. */
function runs(season: number): FirthData {
  const random = createRandom(61, season);
  const strength = season % 4 === 0 ? 12 : 1.5;
  const common = Array.from({ length: ROWS }, random);
  const terms = Array.from({ length: TERMS }, (_, k) => ({
    name: `condition ${k + 1}`,
    values: common.map((shared) => 20 + k * 10 + shared + 2 * random()),
  }));
  const at = (k: number, row: number) =>
    ((terms[k] as { values: number[] }).values[row] as number) - 20 - k * 10 - 1.5;
  const outcomes = common.map(
    (_, row) => random() < 1 / (1 + Math.exp(-strength * (at(0, row) - at(1, row)))),
  );
  return { terms, outcomes };
}

/** Two lots with four pieces each to a block, one of which is now and then missing. */
function gradedBlocks(season: number): Block[] {
  const random = createRandom(67, season);
  const pieces = (n: number, better: number) =>
    Array.from({ length: n }, () => Math.floor(4 * random() ** better));
  return Array.from({ length: BLOCKS }, (_, block) => ({
    first: pieces(4, 1),
    second: pieces(block % 3 === 0 ? 3 : 4, 0.7),
  }));
}
