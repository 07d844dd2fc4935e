import { expect, it } from "vitest";
import { temporaryFolder } from "../service/station-process.js";
import { cutMany, onLyingDisk, writeInGuest } from "./power-cut.js";

const CUTS = Number(process.env.KERNEL_CUTS ?? 3);
/** The seed is said, so that what fails can be had again. */
const seed = Number(process.env.KERNEL_SEED ?? Date.now() % 2 ** 32);

it(`${CUTS} power cuts of a disk with a volatile cache, under a real kernel's ext4, lose nothing that was answered for`, async () => {
  process.stdout.write(`seed ${seed}\n`);
  const { folder, remove } = temporaryFolder();
  try {
    const writing = await writeInGuest(folder, { seed, answers: 300 });
    const figures = await cutMany(writing, CUTS, { seed, boot: true });
    process.stdout.write(`${JSON.stringify({ moments: writing.moments.length, ...figures })}\n`);
    expect(figures.kills).toBe(CUTS);
    expect(figures.early).toBeLessThan(CUTS);
    // That the same look sees a loss where there is one: a failed expectation, and nothing else that may go wrong.
    const lost = cutMany(onLyingDisk(writing, 200), 5, { seed, boot: false });
    await expect(lost).rejects.toMatchObject({ name: "AssertionError" });
  } finally {
    remove();
  }
});
