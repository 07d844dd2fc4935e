import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { findConnected } from "../../../station/setup/find.js";
import { sortChips } from "../../../station/setup/find-gpio.js";
import { type ListedDevice, sortKernel } from "../../../station/setup/find-kernel.js";
import { sortOneWire } from "../../../station/setup/find-one-wire.js";
import { boardTitle } from "../../../station/setup/find-serial.js";
import type { DriverEntry } from "../../../station/sources/drivers.js";
import { driverEntrySchema } from "../../../station/sources/drivers.js";
import { BenchGpiod } from "../../sources/bench-gpiod.js";

const device = (
  subsystem: ListedDevice["subsystem"],
  name: string,
  path: string,
  files: string[],
): ListedDevice => ({
  ...{ subsystem, name, path, files, folder: path },
});
const ROOM = ["name", "temp1_input", "humidity1_input", "uevent"];

describe("what the kernel shows", () => {
  it("is probes of family 28, and what nothing here reads", () => {
    expect(
      sortOneWire(["w1_bus_master1", "28-0000abcdef02", "10-000803abcdef", "28-0000abcdef01", "28-nonsense"]),
    ).toEqual({ probes: ["28-0000abcdef01", "28-0000abcdef02"], others: ["10-000803abcdef"] });
  });

  it("is sensors with what the driver reads of them, and neither the Pi's own nor a probe once more", () => {
    const { sensors, leftOut } = sortKernel([
      device("hwmon", "cpu_thermal", "/sys/devices/virtual/thermal/thermal_zone0/hwmon0", ["temp1_input"]),
      device("hwmon", "w1_slave_temp", "/sys/devices/w1/28-0000abcdef01/hwmon/hwmon1", ["temp1_input"]),
      device("hwmon", "sht3x", "/sys/devices/i2c-1/1-0044/hwmon/hwmon2", ROOM),
      device("iio", "bme280", "/sys/devices/i2c-1/1-0076/iio:device0", [
        "in_temp_input",
        "in_humidityrelative_input",
        "in_pressure_input",
      ]),
      device("iio", "mcp3008", "/sys/devices/spi0.0/iio:device1", ["in_voltage0_raw"]),
    ]);
    expect(
      sensors.map(({ name, address, points }) => [name, address, points.map(({ point }) => point)]),
    ).toEqual([
      ["sht3x", null, ["temperature", "humidity"]],
      ["bme280", null, ["temperature", "humidity", "pressure"]],
    ]);
    expect(leftOut).toEqual([
      "cpu_thermal: the processor's own temperature",
      "mcp3008: nothing of it is read here",
    ]);
  });

  it("is told apart by the address on the bus where two have one name", () => {
    const two = sortKernel([
      device("hwmon", "sht3x", "/sys/devices/i2c-1/1-0044/hwmon/hwmon2", ROOM),
      device("hwmon", "sht3x", "/sys/devices/i2c-1/1-0045/hwmon/hwmon3", ROOM),
    ]).sensors;
    expect(two.map(({ address, told }) => [address, told])).toEqual([
      ["1-0044", true],
      ["1-0045", true],
    ]);
    const dht = sortKernel([
      device("iio", "dht11", "/sys/devices/platform/dht11@11/iio:device0", ["in_temp_input"]),
      device("iio", "dht11", "/sys/devices/platform/dht11@4/iio:device1", ["in_temp_input"]),
    ]).sensors;
    expect(dht.map(({ address }) => address)).toEqual(["dht11@11", "dht11@4"]);
    const untold = sortKernel([
      device("iio", "dht11", "/a/iio:device0", ["in_temp_input"]),
      device("iio", "dht11", "/a/iio:device1", ["in_temp_input"]),
    ]).sensors;
    expect(untold.every(({ told }) => !told)).toBe(true);
  });

  it("is a board by the name that stays with it", () => {
    expect(boardTitle("/dev/serial/by-id/usb-workshop_board_0001-if00-port0")).toBe("workshop board 0001");
    expect(boardTitle("/dev/serial/by-id/usb-")).toBe("usb-");
  });

  it("is the header's lines first, with who holds them and what else a pin is for", () => {
    const chips = sortChips([
      { label: "raspberrypi-exp-gpio", lines: 8, infos: [] },
      {
        label: "pinctrl-bcm2711",
        lines: 58,
        infos: [
          { line: 17, name: "GPIO17", usedBy: null },
          { line: 4, name: "GPIO4", usedBy: "onewire@4" },
        ],
      },
    ]);
    expect(chips.map(({ label, lines }) => [label, lines.length])).toEqual([
      ["pinctrl-bcm2711", 28],
      ["raspberrypi-exp-gpio", 8],
    ]);
    expect(chips[0]?.lines[17]).toEqual({ line: 17, name: "GPIO17", usedBy: null, caution: null });
    expect(chips[0]?.lines[4]).toMatchObject({
      usedBy: "onewire@4",
      caution: expect.stringMatching(/1-Wire/),
    });
    expect(chips[1]?.lines[2]?.caution).toBeNull();
  });
});

describe("all that is connected", () => {
  const folder = mkdtempSync(join(tmpdir(), "setup-"));
  const bench = new BenchGpiod(2);
  const put = (path: string, text: string) => {
    const file = join(folder, path);
    mkdirSync(join(file, ".."), { recursive: true });
    writeFileSync(file, text);
  };
  const find = (named: readonly DriverEntry[] = [], more: object = {}) =>
    findConnected({
      ...{ sysRoot: join(folder, "sys"), byIdFolder: join(folder, "by-id"), tools: bench.tools },
      ...{ lines: [], bias: null, named, heard: () => [], ...more },
    });
  const entry = (each: object) => driverEntrySchema.parse({ id: "a", ...each });

  beforeAll(() => {
    put("sys/bus/w1/devices/28-0000abcdef01/w1_slave", "");
    put("sys/class/hwmon/hwmon3/name", "sht3x\n");
    put("sys/class/hwmon/hwmon3/temp1_input", "20000\n");
    put("ttyUSB0", "");
    mkdirSync(join(folder, "by-id"));
    symlinkSync("../ttyUSB0", join(folder, "by-id", "usb-board_1-if00"));
  });
  afterAll(() => {
    bench.remove();
    rmSync(folder, { recursive: true, force: true });
  });

  it("is found, each with the entry that means it and no other", async () => {
    const { connected, nothing } = await find();
    expect(nothing).toEqual([]);
    expect(connected.map(({ thing }) => thing.key)).toEqual([
      "probe:28-0000abcdef01",
      "sensor:hwmon:sht3x",
      `board:${join(folder, "by-id", "usb-board_1-if00")}`,
    ]);
    for (const each of connected) {
      const own = entry(each.entry);
      expect(connected.filter(({ means }) => means(own))).toEqual([each]);
    }
  });

  it("knows a board by where another path of it leads, and one that only another path names", async () => {
    const named = entry({ driver: "serial", path: join(folder, "ttyUSB0") });
    const { connected } = await find([named]);
    const boards = connected.filter(({ thing }) => thing.sort === "board");
    expect(boards.map(({ means }) => means(named))).toEqual([true]);
    rmSync(join(folder, "by-id", "usb-board_1-if00"));
    const alone = await find([named]);
    expect(alone.connected.filter(({ thing }) => thing.sort === "board")).toHaveLength(1);
    symlinkSync("../ttyUSB0", join(folder, "by-id", "usb-board_1-if00"));
  });

  it("has the lines that somebody picked and those that a configuration names, by number or by name", async () => {
    const named = entry({ driver: "digital-input", line: "lid-switch" });
    const { connected, chips } = await find([named], {
      lines: [{ chip: "pinctrl-bcm2711", line: 3 }],
      bias: "pull-up",
    });
    expect(chips[0]?.lines).toHaveLength(8);
    const lines = connected.filter(({ thing }) => thing.sort === "line");
    expect(lines.map(({ thing }) => thing.key)).toEqual(["line:pinctrl-bcm2711:3", "line:pinctrl-bcm2711:5"]);
    expect(lines.map(({ means }) => means(named))).toEqual([false, true]);
    expect(entry(lines[0]?.entry ?? {})).toMatchObject({ line: 3, bias: "pull-up" });
    expect(bench.calls()).toEqual([]);
  });

  it("says what there is none of, and what to do about it", async () => {
    const empty = { sysRoot: join(folder, "none"), byIdFolder: join(folder, "none") };
    const { connected, nothing } = await find([], empty);
    expect(connected).toEqual([]);
    expect(nothing.map(({ what }) => what)).toEqual([
      "No 1-Wire bus",
      "No humidity sensor",
      "No serial board",
    ]);
    expect(nothing[0]?.mend).toContain("dtoverlay=w1-gpio");
  });
});
