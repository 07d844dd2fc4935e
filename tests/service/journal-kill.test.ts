import { beforeAll, expect, it } from "vitest";
import { killMany } from "../faults/kills.js";
import { buildIfMissing } from "../unit/journal/built.js";

beforeAll(buildIfMissing);

it("50 kills of a writing station lose nothing that was answered for", async () => {
  const figures = await killMany(50, 20_260_504);
  expect(figures.kills).toBe(50);
  // It was killed before, and in the middle of, all that it does.
  expect(figures.early).toBeGreaterThan(0);
  expect(figures.answered).toBeGreaterThan(100);
  expect(figures.runsVerified).toBeGreaterThan(100);
  expect(figures.sealedReadings).toBeGreaterThan(0);
}, 300_000);
