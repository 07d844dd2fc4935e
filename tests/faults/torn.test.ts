import { expect, it } from "vitest";
import { tearMany } from "./tearing.js";

const TEARS = Number(process.env.TEARS ?? 1700);
/** One alone, number n of a seed: TEARS_FROM=n TEARS=n+1 */
const FROM = Number(process.env.TEARS_FROM ?? 0);

/** The seed is said, so that what fails can be had again: FAULTS_SEED=... npm run faults */
const seed = Number(process.env.FAULTS_SEED ?? Date.now() % 2 ** 32);

it(`${TEARS - FROM} torn journals are never read as wrong data`, () => {
  process.stdout.write(`seed ${seed}\n`);
  const figures = tearMany({ tears: TEARS, seed, from: FROM });
  for (const [name, { wrong, ...each }] of figures) {
    process.stdout.write(`${name}: ${JSON.stringify(each)}\n`);
    for (const words of wrong) process.stdout.write(`  WRONG ${words}\n`);
  }
  expect([...figures.values()].flatMap(({ wrong }) => wrong)).toEqual([]);
});
