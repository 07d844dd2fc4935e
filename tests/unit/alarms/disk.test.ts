import { describe, expect, it } from "vitest";
import { createAlarmDesk } from "../../../station/alarms/desk.js";
import { type AlarmsEntry, defineAlarms } from "../../../station/alarms/entry.js";
import { AppError } from "../../../station/errors.js";
import { disk, observed, picture, RANGE } from "./given.js";

const define = (entry: AlarmsEntry) => defineAlarms(entry, { channels: [], coolantRange: RANGE });
const definitions = define({});
const room = (megabytes: number, changes = {}) => disk({ freeBytes: megabytes * 1e6, ...changes });
const journal = { writing: true, held: false, slow: false, text: "words of the journal" };
const see = (alarm: string, changes: object) => observed(definitions, alarm, [picture(0, changes)]);
const presence = (alarm: string, changes: object) => see(alarm, changes).presence;

describe("the alarms of the disk", () => {
  it("come in the order in which the room goes, each more serious than the one before", () => {
    const standing = (megabytes: number) =>
      ["disk-filling", "disk-nearly-full"].filter(
        (alarm) => presence(alarm, { disk: room(megabytes) }) === "present",
      );
    expect([1000, 999, 200, 199].map(standing)).toEqual([
      [],
      ["disk-filling"],
      ["disk-filling"],
      ["disk-filling", "disk-nearly-full"],
    ]);
    const of = (alarm: string) => definitions.find(({ id }) => id === alarm)?.priority;
    expect(["disk-filling", "disk-nearly-full", "readings-held"].map(of)).toEqual(["low", "medium", "high"]);
  });

  it("say what is left, for how long that lasts, and against what it is held", () => {
    const text = "840 MB free on the journal's disk, enough for about 3 months of readings.";
    expect(see("disk-filling", { disk: room(840, { text }) }).detail).toBe(
      "840 MB free on the journal's disk, enough for about 3 months of readings, less than 1.0 GB",
    );
  });

  it("come as well where much is left, but for few days", () => {
    expect(presence("disk-filling", { disk: room(5000, { fewDays: true }) })).toBe("present");
    expect(presence("disk-nearly-full", { disk: room(5000, { fewDays: true }) })).toBe("absent");
  });

  it("do not know of a disk that could not be looked at", () => {
    expect(presence("disk-filling", { disk: room(0, { freeBytes: null }) })).toBe("unknown");
    expect(presence("disk-nearly-full", { disk: room(0, { freeBytes: null }) })).toBe("unknown");
  });

  it("say that readings are held, but not beside a journal that is not written at all", () => {
    expect(presence("readings-held", { journal })).toBe("absent");
    expect(see("readings-held", { journal: { ...journal, held: true } })).toMatchObject({
      presence: "present",
      detail: journal.text,
    });
    expect(presence("readings-held", { journal: { ...journal, held: true, writing: false } })).toBe("absent");
  });

  it("say that the disk is slow", () => {
    expect(presence("disk-slow", { journal })).toBe("absent");
    expect(presence("disk-slow", { journal: { ...journal, slow: true } })).toBe("present");
  });

  it("return only past their deadband: room that comes and goes about the setpoint is one alarm", () => {
    const desk = createAlarmDesk(definitions, { startId: "s" });
    const go = (seconds: number, megabytes: number) =>
      desk
        .update(picture(seconds, { disk: room(megabytes) }))
        .filter(({ alarm }) => alarm === "disk-nearly-full")
        .map(({ transition }) => transition);
    expect(go(0, 199)).toEqual([]);
    expect(go(10, 199)).toEqual(["raised"]);
    expect([...go(20, 210), ...go(60, 219.9)]).toEqual([]);
    expect(go(70, 221)).toEqual([]);
    expect(go(100, 221)).toEqual(["returned"]);
  });
});

describe("the settings of the alarms of the disk", () => {
  it("may be changed", () => {
    const set = define({ "disk-filling": { setpoint: 5000, deadband: 500, on_delay_s: 0 } });
    expect(set.find(({ id }) => id === "disk-filling")).toMatchObject({
      setpoint: 5000,
      deadband: 500,
      unit: "MB",
    });
  });

  it("may not say first what is to be said last", () => {
    const wrong = () => define({ "disk-filling": { setpoint: 150 } });
    expect(wrong).toThrow(AppError);
    expect(wrong).toThrow(
      "alarms.disk-filling.setpoint: expected above the setpoint of disk-nearly-full, 200 MB",
    );
  });
});
