import { spawnSync } from "node:child_process";
import { beforeAll, expect, it } from "vitest";
import { buildIfMissing } from "../unit/journal/built.js";
import { cutMany } from "./powercut.js";

beforeAll(buildIfMissing);

const CUTS = Number(process.env.CUTS ?? 1000);

/** The seed is said, so that what fails can be had again: FAULTS_SEED=... npm run faults */
const seed = Number(process.env.FAULTS_SEED ?? Date.now() % 2 ** 32);

it("has strace to be recorded with (apt install strace)", () => {
  expect(spawnSync("strace", ["-V"]).error).toBeUndefined();
});

it(`${CUTS} power cuts, with what was not synced dropped or torn, lose nothing that was answered for`, async () => {
  process.stdout.write(`seed ${seed}\n`);
  const figures = await cutMany(CUTS, seed);
  process.stdout.write(`${JSON.stringify(figures)}\n`);
  expect(figures.kills).toBe(CUTS);
  expect(figures.early).toBeLessThan(CUTS / 2);
  expect(figures.sealedReadings).toBeGreaterThan(0);
});
