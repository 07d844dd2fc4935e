import { writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { JOURNAL_FILE, openForWriting } from "../../station/journal/database.js";
import { createWriter } from "../../station/journal/writer.js";
import type { Instant } from "../../station/model/instant.js";
import type { Series } from "../../station/model/now.js";
import { codeOf, healthEvents, journalRig, many, quick } from "../unit/journal/rig.js";
import {
  channel,
  columnsOf,
  ended,
  openRun,
  reading,
  sessionStart,
  transition,
  WALL,
} from "../unit/journal/samples.js";

const ENDING_WRITER = new URL("../unit/journal/ending-writer.mjs", import.meta.url);
const ENDING_READER = new URL("../unit/journal/ending-reader.mjs", import.meta.url);

const rig = journalRig();
const { reader, kept, opened: journal } = rig;

describe("the journal on its thread", () => {
  it("keeps readings in order, in parcels of its own making, without being asked to", async () => {
    const open = await journal();
    const readings = many(0, 1000);
    for (let i = 0; i < readings.length; i += 7) open.readings(readings.slice(i, i + 7));
    expect(open.health().waiting).toBeGreaterThan(0);
    await open.flush();
    expect(open.health()).toMatchObject({ writing: true, waiting: 0, dropped: 0 });
    expect(await kept()).toEqual(readings);
  });

  it("commits what it has after a while, with nothing more coming", async () => {
    const open = await journal();
    open.readings(many(0, 3));
    const asking = reader();
    let last = await asking.lastReadingAt("boot-1");
    while (last === null) last = await asking.lastReadingAt("boot-1");
    expect(last).toEqual(reading("c2", 2).at);
  });

  it("answers for runs, alarms, settings and maintenance, and the reader sees each once it is answered", async () => {
    const open = await journal();
    const asking = reader();
    await open.channelsDefined([channel("coolant")]);
    const at = { wall: WALL, mono: 1000 };
    const run = await open.runBegun(openRun("r1"));
    expect(await asking.run("r1")).toEqual({ ...run, placed: null });
    expect(await open.openRuns()).toEqual([run]);
    await open.runSettingsChanged("r1", { passes: 2 }, at, "Phone");
    await open.runEnded(ended(run));
    expect(await asking.run("r1")).toEqual({ ...ended(run), settings: { passes: 2 }, placed: null });
    expect((await asking.runs({ limit: 5 })).runs.map(({ id }) => id)).toEqual(["r1"]);
    await open.alarmTransition(transition("1-1"));
    expect(await open.lastAlarmStates()).toEqual([transition("1-1")]);
    expect((await asking.alarmLog({ limit: 5 })).transitions).toEqual([{ ...transition("1-1"), seq: 1 }]);
    await open.settingChanged({
      subject: "job-sheet",
      path: "settings",
      old: undefined,
      new: {},
      at,
      by: null,
    });
    expect((await asking.settingChanges({ limit: 1 })).changes).toMatchObject([
      { subject: "job-sheet", new: {} },
    ]);
    await open.maintenance({ kind: "optics-cleaned", at, note: "" });
    expect(await open.lastMaintenance("optics-cleaned")).toEqual({ ...at, bootId: "boot-1" });
    open.readings([reading("coolant", 10, 18)]);
    await open.flush();
    const text = await asking.seriesText({ channel: "coolant", from: WALL, to: WALL + 100, buckets: 2 });
    const series = JSON.parse(new TextDecoder().decode(text)) as Series;
    expect(series.buckets.map(({ mean }) => mean)).toEqual([18, null]);
    expect(await asking.lastReadingsBefore("boot-1", 2000)).toEqual([reading("coolant", 10, 18)]);
    expect(await asking.lastReadingOfSession(open.session ?? 0)).toEqual(reading("coolant", 10).at);
    expect(await asking.integrity()).toEqual([]);
  });

  it("says with its code why something was refused", async () => {
    const open = await journal();
    const asking = reader();
    expect(await codeOf(open.runEnded(ended(openRun("nobody"))))).toBe("run-unknown");
    expect(await codeOf(asking.seriesText({ channel: "attic", from: 0, to: 1, buckets: 1 }))).toBe(
      "channel-unknown",
    );
  });

  it("goes on at its start with the placing that the one before was cut off from", async () => {
    const db = openForWriting(rig.folder, { busyTimeoutMs: 1000 });
    const before = createWriter(db, sessionStart({ clock: "not synchronised" }), () => 0);
    const readings = many(0, 50);
    const last = readings.at(-1)?.at as Instant;
    const at = { wall: last.wall + 1e9 + 1, mono: last.mono + 1 };
    before.commit({ number: 1, readings: columnsOf(readings), action: null });
    before.commit({
      number: 2,
      readings: null,
      action: {
        name: "clockStepped",
        params: { at, shiftMs: 1e9, before: "not synchronised", after: "synchronised" },
      },
    });
    before.close();
    await journal({
      session: sessionStart({ start: "start-2", at: { wall: at.wall + 1, mono: at.mono + 1 } }),
      tuning: { ...quick, sealEveryMs: 3_600_000 },
    });
    let found = await kept();
    while (found[0]?.at.wall === WALL) found = await kept();
    expect(found).toEqual(
      readings.map((each) => ({ ...each, at: { mono: each.at.mono, wall: each.at.wall + 1e9 } })),
    );
  });

  it("keeps everything it was given before it was closed, and then takes nothing more", async () => {
    const open = await journal({ tuning: { ...quick, commitEveryMs: 60_000 } });
    open.readings(many(0, 90));
    await open.close();
    await open.close();
    open.readings(many(90, 4));
    expect(open.health()).toMatchObject({ writing: false, waiting: 0, dropped: 4 });
    expect(await codeOf(open.flush())).toBe("journal-closed");
    expect(await kept()).toEqual(many(0, 90));
  });
});

describe("a journal that another program holds locked", () => {
  it("neither loses nor reorders, says so at once, and goes on when the lock is gone", async () => {
    const events = healthEvents();
    const open = await journal({ onHealth: events.onHealth });
    const other = new Database(join(rig.folder, JOURNAL_FILE));
    other.exec("BEGIN IMMEDIATE");
    const stopped = events.next(false);
    open.readings(many(0, 100));
    const run = open.runBegun(openRun("r1"));
    open.readings(many(100, 100));
    const alarm = open.alarmTransition(transition("1-1"));

    const health = await stopped;
    expect(health.waiting).toBe(200);
    expect(health.text).toContain("another program holds the journal locked");
    open.readings(many(200, 300));
    expect(open.health().waiting).toBe(500);

    const again = events.next(true);
    other.exec("ROLLBACK");
    other.close();
    expect((await run).number).toBe(1);
    await Promise.all([alarm, again, open.flush()]);
    expect(events.seen.map(({ writing }) => writing)).toEqual([false, true]);
    expect(open.health()).toMatchObject({ writing: true, waiting: 0, dropped: 0 });
    expect(await kept()).toEqual(many(0, 500));
  });

  it("drops the oldest readings beyond its bound, counts them, and keeps every action", async () => {
    const events = healthEvents();
    const open = await journal({ onHealth: events.onHealth, tuning: { ...quick, mostReadings: 400 } });
    const other = new Database(join(rig.folder, JOURNAL_FILE));
    other.exec("BEGIN IMMEDIATE");
    const stopped = events.next(false);
    open.readings(many(0, 200));
    await stopped;
    const runs = ["r1", "r2", "r3"].map((id, i) => {
      open.readings(many(200 + i * 200, 200));
      return open.runBegun(openRun(id));
    });
    expect(open.health().waiting).toBeLessThanOrEqual(400);
    other.exec("ROLLBACK");
    other.close();
    expect((await Promise.all(runs)).map(({ number }) => number)).toEqual([1, 2, 3]);
    const values = (await kept()).map(({ value }) => value ?? -1);
    expect(values.length + open.health().dropped).toBe(800);
    expect(values).toEqual([...values].sort((a, b) => a - b));
    expect(values.slice(-200)).toEqual(many(600, 200).map(({ value }) => value));
    expect(open.health().text).toContain(`${open.health().dropped} readings were lost`);
  });

  it("takes in only so many alarms and settings, says how many it did not, and takes in every run in its order", async () => {
    const events = healthEvents();
    const open = await journal({ onHealth: events.onHealth, tuning: { ...quick, mostActions: 10 } });
    const other = new Database(join(rig.folder, JOURNAL_FILE));
    other.exec("BEGIN IMMEDIATE");
    const stopped = events.next(false);
    const alarms = Array.from({ length: 25 }, (_, i) => codeOf(open.alarmTransition(transition(`1-${i}`))));
    const runs = ["r1", "r2"].map((id) => open.runBegun(openRun(id)));
    const ending = open.runEnded(ended(openRun("r1")));
    await stopped;
    expect(open.health().text).toContain("15 entries other than readings (alarms, settings) were not kept");
    other.close();
    const kept = ["no error", "journal-unusable"].flatMap((code, i) => Array(i === 0 ? 10 : 15).fill(code));
    expect(await Promise.all(alarms)).toEqual(kept);
    expect((await Promise.all(runs)).map(({ number }) => number)).toEqual([1, 2]);
    await ending;
    expect((await open.openRuns()).map(({ id }) => id)).toEqual(["r2"]);
  });

  it("that stays locked is closed all the same in the end, and what was waiting for an answer gets one", async () => {
    const events = healthEvents();
    const open = await journal({ onHealth: events.onHealth, tuning: { ...quick, closeWithinMs: 30 } });
    const other = new Database(join(rig.folder, JOURNAL_FILE));
    other.exec("BEGIN IMMEDIATE");
    const stopped = events.next(false);
    open.readings(many(0, 10));
    const run = codeOf(open.runBegun(openRun("r1")));
    await stopped;
    await open.close();
    expect(await run).toBe("journal-closed");
    expect(open.health()).toMatchObject({ waiting: 0, dropped: 10 });
    other.close();
  });
});

describe("a thread that ends by itself", () => {
  it.each([
    ["before a commit", "before", 1],
    ["before the next commit", "before", 2],
    ["after a commit whose answer it no longer gave", "after", 1],
    ["after the next commit, of all that waited, whose answer it no longer gave", "after", 2],
  ])("%s is started again, and everything is kept once, in order", async (_, when, nth) => {
    writeFileSync(join(rig.folder, "end-at.json"), JSON.stringify({ call: "commit", nth, when }));
    const events = healthEvents();
    const open = await journal({ workerUrl: ENDING_WRITER, onHealth: events.onHealth });
    const stopped = events.next(false);
    open.readings(many(0, 60));
    const runs = ["r1", "r2", "r3"].map((id, i) => {
      const run = open.runBegun(openRun(id));
      open.readings(many(60 + i * 30, 30));
      return run;
    });
    const changes = open.maintenance({ kind: "optics-cleaned", at: { wall: WALL, mono: 1 }, note: "" });
    expect((await stopped).text).toContain("its thread ended");
    expect((await Promise.all(runs)).map(({ number }) => number)).toEqual([1, 2, 3]);
    await changes;
    open.readings(many(150, 10));
    await open.flush();
    expect(open.health()).toMatchObject({ writing: true, waiting: 0, dropped: 0 });
    expect(await kept()).toEqual(many(0, 160));
    const db = new Database(join(rig.folder, JOURNAL_FILE), { readonly: true });
    expect(db.prepare("SELECT count(*) FROM maintenance").pluck().get()).toBe(1);
    expect(db.prepare("SELECT count(*) FROM session").pluck().get()).toBe(1);
    db.close();
  });

  it("while reading fails the question it was at, and answers the next one", async () => {
    const open = await journal();
    await open.runBegun(openRun("r1"));
    writeFileSync(join(rig.folder, "end-at.json"), JSON.stringify({ call: "run", nth: 1, when: "before" }));
    const asking = reader(ENDING_READER);
    expect(await codeOf(asking.run("r1"))).toBe("journal-unusable");
    expect(await asking.run("r1")).toMatchObject({ id: "r1" });
    await asking.close();
    expect(await codeOf(asking.run("r1"))).toBe("journal-closed");
  });
});
