import { beforeAll, expect, it } from "vitest";
import { buildIfMissing } from "../unit/journal/built.js";
import { killMany } from "./kills.js";

beforeAll(buildIfMissing);

const KILLS = 1000;

/** The seed is said, so that what fails can be had again: FAULTS_SEED=... npm run faults */
const seed = Number(process.env.FAULTS_SEED ?? Date.now() % 2 ** 32);

it(`${KILLS} kills of a writing station lose nothing that was answered for`, async () => {
  process.stdout.write(`seed ${seed}\n`);
  const figures = await killMany(KILLS, seed);
  process.stdout.write(`${JSON.stringify(figures)}\n`);
  expect(figures.kills).toBe(KILLS);
  expect(figures.sealedReadings).toBeGreaterThan(0);
});
