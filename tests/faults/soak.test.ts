import { appendFileSync, mkdirSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeAll, describe, expect, it } from "vitest";
import { IN_A_FILE, IN_MEMORY, type SmallDisk, smallDisk, whyNone } from "../service/small-disk.js";
import { temporaryFolder } from "../service/station-process.js";
import { buildIfMissing } from "../unit/journal/built.js";
import { judgeSoak } from "./soak/figures.js";
import { planOf } from "./soak/plan.js";
import { DISK_BYTES, runSoak } from "./soak/run.js";

const DAYS = Number(process.env.SOAK_DAYS ?? 2);
const SEED = Number(process.env.SOAK_SEED ?? 20_261_127);
/** The figures of every soak on this machine, one below the other. */
const FIGURES = join(process.cwd(), ".build/soak.md");

/** On ext4, where this user may mount it; else in memory. */
const kind = whyNone(IN_A_FILE) === null ? IN_A_FILE : IN_MEMORY;
const none = whyNone(kind);
let disk: SmallDisk | null = null;
let parent: ReturnType<typeof temporaryFolder> | null = null;
beforeAll(buildIfMissing);
afterEach(async () => {
  await disk?.remove();
  parent?.remove();
});

describe.skipIf(none !== null)(`${DAYS} days without hands${none === null ? "" : ` (${none})`}`, () => {
  it(`lose nothing, tell everything once, and leave the station as it was (seed ${SEED})`, async () => {
    disk = await smallDisk(kind, DISK_BYTES);
    parent = temporaryFolder();
    const begun = performance.now();
    const facts = await runSoak(planOf(DAYS, SEED), SEED, disk, parent.folder);
    const minutes = (performance.now() - begun) / 60_000;
    const { table, wrong } = await judgeSoak(facts, disk, parent.folder, SEED, minutes);
    process.stdout.write(`${table}\n`);
    mkdirSync(join(process.cwd(), ".build"), { recursive: true });
    appendFileSync(FIGURES, `${table}\n`);
    expect(wrong).toEqual([]);
  });
});
