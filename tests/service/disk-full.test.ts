import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { openForReading } from "../../station/journal/database.js";
import type { JournalHealth } from "../../station/journal/journal.js";
import { createReads } from "../../station/journal/reads.js";
import { buildIfMissing } from "../unit/journal/built.js";
import { blocksOf } from "../unit/journal/samples.js";
import { IN_MEMORY, type SmallDisk, smallDisk, whyNone } from "./small-disk.js";
import { eventually, temporaryFolder } from "./station-process.js";

const KEEPER = join(process.cwd(), "tests/service/keeper.mjs");
const RESERVE = 4e6;
const none = whyNone(IN_MEMORY);

/** The journal in its own process, on the small disk. */
interface Keeper {
  tell(what: object): void;
  readonly kept: readonly string[];
  health(): JournalHealth | null;
  /** Once it has closed; its health then. */
  close(): Promise<JournalHealth | null>;
}

let disk: SmallDisk;
let outside: ReturnType<typeof temporaryFolder>;
const children: ChildProcess[] = [];
beforeAll(buildIfMissing);
beforeEach(async () => {
  disk = await smallDisk(IN_MEMORY, 24e6);
  outside = temporaryFolder();
});
afterEach(async () => {
  for (const child of children.splice(0)) child.kill("SIGKILL");
  await disk.remove();
  outside.remove();
});

function keeper(): Keeper {
  const [program = "", ...before] = disk.through;
  const child = spawn(
    program,
    [...before, process.execPath, KEEPER, join(disk.folder, "journal"), String(RESERVE)],
    {
      stdio: ["pipe", "pipe", "inherit"],
    },
  );
  children.push(child);
  const kept: string[] = [];
  let health: JournalHealth | null = null;
  createInterface({ input: child.stdout }).on("line", (line) => {
    const said = JSON.parse(line) as { health?: JournalHealth; kept?: string };
    if (said.health !== undefined) health = said.health;
    if (said.kept !== undefined) kept.push(said.kept);
  });
  const tell = (what: object) => child.stdin.write(`${JSON.stringify(what)}\n`);
  const ended = once(child, "close");
  return {
    tell,
    kept,
    health: () => health,
    async close() {
      tell({ close: true });
      await ended;
      return health;
    },
  };
}

const is = (keeping: Keeper, found: Partial<JournalHealth>) => () =>
  Object.entries(found).every(([key, value]) => keeping.health()?.[key as keyof JournalHealth] === value);

/** What the journal holds, read from a copy off the small disk. */
async function contents(): Promise<{ values: (number | null)[]; runs: string[]; alarms: string[] }> {
  const folder = join(outside.folder, `copy-${readdirSync(outside.folder).length}`);
  await disk.run(`cp -r $D/journal ${folder}`);
  const db = openForReading(folder);
  try {
    const window = { bootId: "boot-1", fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };
    return {
      values: blocksOf(createReads(db), window)
        .flat()
        .map(({ value }) => value),
      runs: db.prepare<[], string>("SELECT id FROM run ORDER BY number").pluck().all(),
      alarms: db.prepare<[], string>("SELECT id FROM alarm_transition ORDER BY seq").pluck().all(),
    };
  } finally {
    db.close();
  }
}
const upTo = (count: number) => Array.from({ length: count }, (_, i) => i);

describe.skipIf(none !== null)(`a journal whose disk is full${none === null ? "" : ` (${none})`}`, () => {
  it("holds readings, keeps runs and alarms, and writes all of it once and in order when there is room", async () => {
    const keeping = keeper();
    keeping.tell({ readings: 2000 });
    await eventually(
      is(keeping, { writing: true, held: false, waiting: 0 }),
      "the first readings to be written",
    );
    await disk.fillUp(3e6);

    keeping.tell({ readings: 30_000 });
    keeping.tell({ run: "r1" });
    keeping.tell({ readings: 700 });
    await eventually(is(keeping, { held: true, writing: true, waiting: 30_700 }), "readings to be held");
    keeping.tell({ alarm: "1-1" });
    await eventually(() => keeping.kept.length === 2, "the run and the alarm to be kept");
    expect(keeping.kept).toEqual(["r1", "1-1"]);
    expect(keeping.health()?.text).toContain("30700 readings are held in memory");
    expect(await contents()).toEqual({ values: upTo(2000), runs: ["r1"], alarms: ["1-1"] });

    await disk.makeRoom();
    await eventually(is(keeping, { held: false, waiting: 0 }), "the readings to be written");
    keeping.tell({ readings: 300 });
    expect(await keeping.close()).toMatchObject({ dropped: 0, waiting: 0 });
    expect(await contents()).toEqual({ values: upTo(33_000), runs: ["r1"], alarms: ["1-1"] });
  });

  it("and that is stopped, writes what it holds into what was left for runs", async () => {
    const keeping = keeper();
    keeping.tell({ readings: 100 });
    await eventually(is(keeping, { writing: true, waiting: 0 }), "the first readings to be written");
    await disk.fillUp(3.5e6);
    keeping.tell({ readings: 5000 });
    await eventually(is(keeping, { held: true, waiting: 5000 }), "readings to be held");
    expect(await keeping.close()).toMatchObject({ dropped: 0 });
    expect((await contents()).values).toEqual(upTo(5100));
  });

  it("to the last byte, says that nothing can be written, holds everything, and writes it when there is room", async () => {
    const keeping = keeper();
    keeping.tell({ readings: 2000 });
    await eventually(is(keeping, { writing: true, waiting: 0 }), "the first readings to be written");
    await disk.fillUp(0);
    keeping.tell({ readings: 5000 });
    // As many as are needed until what the files still hold of free pages is used up.
    for (let i = 0; i < 3000; i++) keeping.tell({ alarm: `1-${i}` });
    await eventually(is(keeping, { writing: false }), "the journal not to be written");
    expect(keeping.health()?.text).toContain("the disk is full: make room on it");
    await disk.makeRoom();
    await eventually(is(keeping, { writing: true, held: false, waiting: 0 }), "everything to be written");
    expect(await keeping.close()).toMatchObject({ dropped: 0 });
    const { values, alarms } = await contents();
    expect(values).toEqual(upTo(7000));
    expect(alarms).toEqual(upTo(3000).map((i) => `1-${i}`));
  });
});

describe.skipIf(none !== null)(
  `a journal whose disk is read-only${none === null ? "" : ` (${none})`}`,
  () => {
    it("says so, holds everything in memory, and writes it once it may", async () => {
      const first = keeper();
      first.tell({ readings: 100 });
      await first.close();
      await disk.readOnly(true);
      const keeping = keeper();
      keeping.tell({ readings: 400 });
      keeping.tell({ run: "r1" });
      await eventually(is(keeping, { writing: false, waiting: 400 }), "the journal not to be written");
      await eventually(() => keeping.health()?.text.includes("read-only"), "words that say read-only");
      expect(keeping.kept).toEqual([]);
      await disk.readOnly(false);
      await eventually(is(keeping, { writing: true, waiting: 0 }), "the readings to be written");
      await eventually(() => keeping.kept.includes("r1"), "the run to be kept");
      expect(await keeping.close()).toMatchObject({ dropped: 0 });
      const { values, runs } = await contents();
      expect([values, runs]).toEqual([[...upTo(100), ...upTo(400)], ["r1"]]);
    });
  },
);
