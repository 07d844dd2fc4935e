import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { JOURNAL_FILE, openForWriting } from "../../station/journal/database.js";
import { LOCK_FILE, lockFolder } from "../../station/journal/lock.js";
import { createWriter } from "../../station/journal/writer.js";
import { codeOf, healthEvents, journalRig, many, quick } from "../unit/journal/rig.js";
import { sessionStart, transition } from "../unit/journal/samples.js";

const ENDING_WRITER = new URL("../unit/journal/ending-writer.mjs", import.meta.url);
const GONE = "the journal's file has been removed or replaced; restart the station";

/** Nothing can be written in the end, so closing is not to wait for it. */
const tuning = { ...quick, closeWithinMs: 30 };

const rig = journalRig();
const FILES = ["", "-wal", "-shm"].map((suffix) => `${JOURNAL_FILE}${suffix}`);

/** Moves files of the journal from one folder to another. */
function move(files: readonly string[], from: string, to: string): void {
  mkdirSync(to, { recursive: true });
  for (const file of files) renameSync(join(from, file), join(to, file));
}

describe("a journal whose file is taken away under the station", () => {
  it.each([
    ["all of it", FILES],
    ["its main file", FILES.slice(0, 1)],
    ["its WAL", FILES.slice(1, 2)],
  ])("%s, is not written, and is said not to be, until it is back", async (_, taken) => {
    const events = healthEvents();
    const open = await rig.opened({ onHealth: events.onHealth });
    open.readings(many(0, 50));
    await open.flush();
    const elsewhere = join(rig.folder, "elsewhere");
    const stopped = events.next(false);
    move(taken, rig.folder, elsewhere);
    open.readings(many(50, 50));
    const alarm = open.alarmTransition(transition("1-1"));
    expect((await stopped).text).toContain(GONE);
    expect(open.health()).toMatchObject({ writing: false, waiting: 50 });
    expect(readdirSync(rig.folder).filter((name) => taken.includes(name))).toEqual([]);

    move(taken, elsewhere, rig.folder);
    await alarm;
    expect(open.health()).toMatchObject({ writing: true, waiting: 0 });
    expect(await rig.kept()).toEqual(many(0, 100));
  });

  it("and another put in its place, leaves the other alone", async () => {
    const events = healthEvents();
    const open = await rig.opened({ tuning, onHealth: events.onHealth });
    open.readings(many(0, 50));
    await open.flush();
    const file = join(rig.folder, JOURNAL_FILE);
    const other = join(rig.folder, "other.sqlite");
    copyFileSync(file, other);
    const before = readFileSync(other);
    const stopped = events.next(false);
    renameSync(other, file);
    open.readings(many(50, 50));
    expect((await stopped).text).toContain(GONE);
    await open.close();
    expect(readFileSync(file).equals(before)).toBe(true);
  });

  it("is not made anew when the thread has to be started again", async () => {
    writeFileSync(
      join(rig.folder, "end-at.json"),
      JSON.stringify({ call: "commit", nth: 2, when: "before" }),
    );
    const events = healthEvents();
    const open = await rig.opened({ tuning, onHealth: events.onHealth, workerUrl: ENDING_WRITER });
    await open.flush();
    const gone = events.next(GONE);
    for (const file of FILES) rmSync(join(rig.folder, file));
    open.readings(many(0, 50));
    await gone;
    expect(existsSync(join(rig.folder, JOURNAL_FILE))).toBe(false);
    expect(open.health()).toMatchObject({ writing: false, waiting: 50 });
  });
});

describe("a journal whose lock file is taken away under the station", () => {
  const lock = () => join(rig.folder, LOCK_FILE);
  const other = sessionStart({ start: "start-2", bootId: "boot-2" });

  it("is locked again before anything more is written", async () => {
    const open = await rig.opened();
    rmSync(lock());
    open.readings(many(0, 50));
    await open.flush();
    expect(await codeOf(rig.open({ session: other }).ready)).toBe("journal-in-use");
    expect(await rig.kept()).toEqual(many(0, 50));
  });

  it("is not written where another station was quicker, which is said, until that one ends", async () => {
    const events = healthEvents();
    const open = await rig.opened({ onHealth: events.onHealth });
    // All in one go: at the station's next look it would take the lock again itself.
    rmSync(lock());
    const taken = lockFolder(rig.folder, 0);
    const db = openForWriting(rig.folder, { busyTimeoutMs: 1000 });
    const second = createWriter(db, other, () => 0);
    const stopped = events.next(false);
    const alarm = open.alarmTransition(transition("1-1"));
    expect((await stopped).text).toContain("another station is writing the journal now: stop one of the two");
    const action = { name: "alarmTransition", params: transition("2-1") } as const;
    second.commit({ number: 1, readings: null, action });
    second.close();
    taken.release();
    await alarm;
    const { transitions } = await rig.reader().alarmLog({ limit: 10 });
    expect(transitions.map(({ id }) => id)).toEqual(["1-1", "2-1"]);
    expect(open.health().writing).toBe(true);
  });
});
