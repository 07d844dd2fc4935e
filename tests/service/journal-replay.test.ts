import { execFile } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { describe, expect, it } from "vitest";
import { openForWriting } from "../../station/journal/database.js";
import { STRETCH_ROWS } from "../../station/journal/schema.js";
import { SUM_OF_ROWS } from "../../station/journal/stretch-sums.js";
import { BLOCK_READINGS } from "../../station/journal/windows.js";
import { createWriter } from "../../station/journal/writer.js";
import { codeOf, journalRig, many } from "../unit/journal/rig.js";
import { columnsOf, openRun, sessionStart } from "../unit/journal/samples.js";

const ASKED_READER = new URL("../unit/journal/asked-reader.mjs", import.meta.url);
const REPLAYING = fileURLToPath(new URL("../unit/journal/replaying.mjs", import.meta.url));
const ALL = { bootId: "boot-1", fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };

const rig = journalRig();

function write(count: number): void {
  const db = openForWriting(rig.folder, { busyTimeoutMs: 1000 });
  const writer = createWriter(db, sessionStart(), () => 0);
  writer.commit({ number: 1, readings: columnsOf(many(0, count)), action: null });
  writer.commit({ number: 2, readings: null, action: { name: "runBegun", params: openRun("r1") } });
  db.close();
}

/** As many rows as some days of a dozen channels leave; by SQL, which takes a second where the journal takes ten. */
function fill(rows: number): void {
  const db = openForWriting(rig.folder, { busyTimeoutMs: 1000 });
  createWriter(db, sessionStart(), () => 0).commit({
    number: 1,
    readings: columnsOf(many(0, 3)),
    action: null,
  });
  db.exec(`DELETE FROM live_minute; DELETE FROM stretch; DELETE FROM reading;
    WITH RECURSIVE n (i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i + 1 < ${rows})
    INSERT INTO reading (channel, session, wall, mono, value, quality) SELECT 1 + i % 3, 1, i, i, i, 0 FROM n;
    INSERT INTO stretch (first_id, last_id, session, min_wall, max_wall, min_mono, max_mono, parcel)
      SELECT min(id), max(id), 1, min(wall), max(wall), min(mono), max(mono), 1
      FROM reading GROUP BY (id - 1) / ${STRETCH_ROWS};
    UPDATE stretch SET sum = ${SUM_OF_ROWS};`);
  db.close();
}

function blocksAsked(): number {
  return readFileSync(join(rig.folder, "asked"), "utf8")
    .split("\n")
    .filter((name) => name === "replayBlock").length;
}

describe("a long replay", () => {
  it("comes a block at a time, the next fetched while one is worked on and none beyond, with other questions between", async () => {
    const readings = 6 * BLOCK_READINGS + 100;
    write(readings);
    const asking = rig.reader(ASKED_READER);
    const given: unknown[] = [];
    const sizes: number[] = [];
    for await (const block of asking.readingsForReplay(ALL)) {
      sizes.push(block.length);
      given.push(...block);
      // Answered behind whatever the replay has asked for, and before what it will ask for later.
      expect(await asking.run("r1")).toMatchObject({ id: "r1" });
      expect(blocksAsked()).toBe(Math.min(sizes.length + 1, 7));
    }
    expect(sizes).toEqual([...new Array(6).fill(BLOCK_READINGS), 100]);
    expect(given).toEqual(many(0, readings));
  });

  it("may be left in the middle, and fetches no more then", async () => {
    write(4 * BLOCK_READINGS);
    const asking = rig.reader(ASKED_READER);
    for await (const block of asking.readingsForReplay(ALL)) {
      expect(block.length).toBe(BLOCK_READINGS);
      break;
    }
    await asking.run("r1");
    expect(blocksAsked()).toBe(2);
  });

  it("of a journal that is not there says so when it is begun", async () => {
    const blocks = rig.reader().readingsForReplay(ALL)[Symbol.asyncIterator]();
    expect(await codeOf(blocks.next())).toBe("journal-unusable");
  });

  it("of days passes through a heap that could not hold it", async () => {
    const rows = 600_000;
    fill(rows);
    // As objects they would take over 100 MB.
    const { stdout } = await promisify(execFile)(process.execPath, [
      "--max-old-space-size=40",
      REPLAYING,
      rig.folder,
    ]);
    expect(JSON.parse(stdout)).toEqual({ readings: rows, sum: (rows * (rows - 1)) / 2 });
  });
});
