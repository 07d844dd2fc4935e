import { describe, expect, it } from "vitest";
import {
  bytesADay,
  DAY_MS,
  expectedBytesADay,
  type SizeSample,
  sampled,
} from "../../../../station/journal/disk/growth.js";
import { type DiskFacts, judgeDisk, lastingText } from "../../../../station/journal/disk/judge.js";
import { hasRoomFor, type RoomFor, roomFor } from "../../../../station/journal/disk/room.js";
import { bytesText } from "../../../../station/model/disk.js";

const HOUR_MS = 3_600_000;
const facts: DiskFacts = {
  freeBytes: 1032e6,
  totalBytes: 16e9,
  journalBytes: 200e6,
  bytesADay: 10e6,
  reserveBytes: 32e6,
  leastDays: 30,
  fewDays: false,
};

describe("the room on the disk", () => {
  it("lasts until what is kept for runs and alarms is reached, and says so", () => {
    const view = judgeDisk(facts);
    expect(view.daysLeft).toBe(100);
    expect(view.text).toBe("1.0 GB free on the journal's disk, enough for about 3 months of readings.");
  });

  it("below that is kept for runs and alarms", () => {
    const view = judgeDisk({ ...facts, freeBytes: 20e6 });
    expect(view).toMatchObject({ daysLeft: 0, fewDays: true });
    expect(view.text).toBe("20 MB free on the journal's disk, which is kept for runs and alarms.");
  });

  it("is for few days below the least, and no more only a fifth above it", () => {
    const few = (days: number, before: boolean) =>
      judgeDisk({ ...facts, freeBytes: 32e6 + days * 10e6, fewDays: before }).fewDays;
    expect([few(30, false), few(29.9, false)]).toEqual([false, true]);
    expect([few(35.9, true), few(36, true)]).toEqual([true, false]);
  });

  it("lasts for nobody knows how long where nothing grows", () => {
    expect(judgeDisk({ ...facts, bytesADay: 0 })).toMatchObject({ daysLeft: null, fewDays: false });
  });

  it("is never said to be or to last for more than it is", () => {
    expect([bytesText(1_999_999_999), bytesText(999_999_999), bytesText(1_999_999)]).toEqual([
      "1.9 GB",
      "999 MB",
      "1 MB",
    ]);
    expect([0.9, 1.9, 91.9, 92, 729, 1461, 4000].map(lastingText)).toEqual([
      "less than a day",
      "about a day",
      "about 91 days",
      "about 3 months",
      "about 23 months",
      "about 4 years",
      "more than ten years",
    ]);
  });
});

describe("what is given up for want of room", () => {
  const order: RoomFor[] = ["dispensable", "sealing", "resuming", "readings", "lastReadings"];
  it("goes in an order in which readings are the last", () => {
    const given = (free: number) => order.filter((what) => !hasRoomFor(what, free, 32e6));
    expect(given(64e6)).toEqual([]);
    expect(given(63e6)).toEqual(["dispensable"]);
    expect(given(47e6)).toEqual(["dispensable", "sealing"]);
    expect(given(39e6)).toEqual(["dispensable", "sealing", "resuming"]);
    expect(given(31e6)).toEqual(["dispensable", "sealing", "resuming", "readings"]);
    expect(given(7e6)).toEqual(order);
  });

  it("is tried where the room is not known", () => {
    expect(hasRoomFor("readings", null, 32e6)).toBe(true);
  });

  it("leaves what is beyond, and never less than nothing", () => {
    expect([roomFor("dispensable", 100e6, 32e6), roomFor("dispensable", 10e6, 32e6)]).toEqual([36e6, 0]);
  });
});

describe("how much the journal grows in a day", () => {
  const grow = (hours: number, bytes: (hour: number) => number) => {
    let samples: readonly SizeSample[] = [];
    for (let minute = 0; minute <= hours * 60; minute += 10) {
      samples = sampled(samples, 0, { mono: minute * 60_000, bytes: bytes(minute / 60) });
    }
    return samples;
  };

  it("is reckoned from the channels to begin with", () => {
    // Three channels once a second and one every five: 276 480 readings of 0.45 bytes.
    const expected = expectedBytesADay([1, 1, 1, 5]);
    expect(expected).toBeCloseTo(276_480 * 0.45, 6);
    expect(
      bytesADay(
        grow(25, (hour) => hour * 1e6),
        expected,
      ),
    ).toBe(expected);
  });

  it("is measured over a day and more, without the first two hours, in which the file takes in its rows", () => {
    const size = (hour: number) => (hour < 2 ? hour * 50e6 : 100e6 + (hour - 2) * 1e6);
    expect(bytesADay(grow(30, size), 1000)).toBeCloseTo(24e6, 3);
  });

  it("is what is expected where less is measured, for freed pages are filled again", () => {
    expect(
      bytesADay(
        grow(72, () => 5e6),
        40_000,
      ),
    ).toBe(40_000);
  });

  it("is that of the last week", () => {
    const week = 7 * 24;
    const samples = grow(2 * week + 2, (hour) =>
      hour < week ? hour * 9e6 : week * 9e6 + (hour - week) * 1e6,
    );
    expect(samples.length).toBeLessThanOrEqual(week + 1);
    const first = samples[0]?.mono ?? 0;
    expect((samples.at(-1)?.mono ?? 0) - first).toBeLessThanOrEqual(7 * DAY_MS);
    expect(first % HOUR_MS).toBe(0);
    expect(bytesADay(samples, 0)).toBeLessThan(26e6);
  });
});
