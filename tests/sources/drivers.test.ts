import { describe, expect, test } from "vitest";
import { createSource, driverEntrySchema, everyOf } from "../../station/sources/drivers.js";
import { realClock } from "./witness.js";

const ENTRIES = [
  { driver: "kernel-1-wire", id: "coolant", device: "28-0123456789ab" },
  { driver: "kernel-sensor", id: "room", subsystem: "hwmon", name: "sht3x" },
  { driver: "serial", id: "board", path: "/dev/serial/by-id/usb-board" },
  { driver: "digital-input", id: "lid", line: 17 },
  { driver: "tachometer", id: "fan", line: 27 },
  { driver: "bench-simulator", id: "bench" },
];

describe("the drivers", () => {
  test.each(ENTRIES)(
    "$driver: the shortest entry is enough, and makes a source that is closed",
    async (entry) => {
      const source = createSource(driverEntrySchema.parse(entry), { clock: realClock, sysRoot: "/nowhere" });
      expect(source.id).toBe(entry.id);
      expect(source.status()).toMatchObject({
        source: entry.id,
        driver: entry.driver,
        state: "closed",
        accepted: 0,
      });
      await source.stop();
    },
  );

  test.each(ENTRIES.filter(({ driver }) => driver !== "bench-simulator"))(
    "$driver: where nothing is there, check says so and what to do, and does not throw",
    async (entry) => {
      const source = createSource(driverEntrySchema.parse(entry), { clock: realClock, sysRoot: "/nowhere" });
      const findings = await source.check();
      expect(findings.length).toBeGreaterThan(0);
      for (const finding of findings) {
        expect(finding.ok).toBe(false);
        expect(finding.found).not.toBe("");
        expect(finding.mend).not.toBe("");
      }
    },
  );

  test.each([
    [2, ENTRIES[0]],
    [2, ENTRIES[1]],
    [30, { ...ENTRIES[1], every_s: 30 }],
    [null, ENTRIES[2]],
    [1, ENTRIES[3]],
    [1, ENTRIES[4]],
    [1, ENTRIES[5]],
  ])("an entry promises a reading every so many seconds: %s for %o", (every, entry) => {
    expect(everyOf(driverEntrySchema.parse(entry))).toBe(every);
  });

  test.each([
    ["no driver of that name", { driver: "thermometer", id: "a" }],
    ["a setting that is none", { ...ENTRIES[0], colour: "red" }],
    ["a probe's number with a capital letter", { ...ENTRIES[0], device: "28-0123456789AB" }],
    ["a path that is not absolute", { ...ENTRIES[2], path: "ttyUSB0" }],
    ["a negative line", { ...ENTRIES[3], line: -1 }],
    ["a wire test on the line of the pulses", { ...ENTRIES[4], wire_test: 27 }],
  ])("%s is refused", (_, entry) => {
    expect(driverEntrySchema.safeParse(entry).success).toBe(false);
  });
});
