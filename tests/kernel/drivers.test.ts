import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { gpioSysfsCases, LOOK_EVERY_S } from "./cases/gpio-sysfs.js";
import { i2cCases } from "./cases/i2c.js";
import { oneWireCases } from "./cases/one-wire.js";
import { usbBoardCases } from "./cases/usb-board.js";
import { type DeviceBench, LINE, wireUp } from "./device-bench.js";
import { type DriverEntries, GuestDrivers, patiently } from "./guest-drivers.js";
import { CHIP_LABEL, TAKEN_LINE } from "./sim-lines.js";

/** One guest for all: to boot one takes longer here than what is asked of it. */
describe("the drivers on a real kernel", () => {
  let bench: DeviceBench;
  let entries: DriverEntries;
  const exported = () => bench.guest.mustRun("ls /sys/class/gpio");

  beforeAll(async () => {
    const wired = await wireUp();
    entries = everyDriver(wired.probes.ids, await wired.board.path());
    bench = { ...wired, drivers: await GuestDrivers.load(wired.guest, entries) };
  });
  afterAll(async () => {
    bench?.board.unplug();
    await bench?.guest.remove();
  });

  it("check says where each is, and takes nothing", async () => {
    const chips = "/sys/class/gpio/gpiochip*";
    const base = Number(
      await bench.guest.mustRun(`cd "$(dirname "$(grep -l "^${CHIP_LABEL}$" ${chips}/label)")" && cat base`),
    );
    // Far from the lines' own numbers: whoever took those would watch nothing.
    expect(base).toBeGreaterThan(100);
    const of = await bench.drivers.check();
    expect(of("lid-switch")).toMatchObject({
      ok: true,
      found: `${CHIP_LABEL}, whose lines start at ${base} in sysfs, so this one is ${base + LINE.lid} (through /sys/class/gpio, which this kernel has); the level is low, which means off`,
    });
    expect(of("taken-line")).toMatchObject({
      ok: false,
      found: expect.stringContaining("the line is taken"),
    });
    expect(of("water-probe")).toMatchObject({ ok: true, found: "reads 18.5 °C at 12 bits" });
    expect(of("outlet-sensor")).toMatchObject({ ok: true, found: "temperature 20 °C" });
    expect(of("room-sensor")?.ok).toBe(true);
    expect(of("iio-sensor")).toMatchObject({ ok: true, found: "temperature 20 °C" });
    expect(of("board")).toMatchObject({ ok: true, found: "it is there and may be opened" });
    const lamp = `gpio${base + LINE.lamp}`;
    expect((await exported()).match(/^gpio\d+$/gm)).toEqual([lamp]);
    await bench.drivers.begin();
  });

  describe("GPIO lines through /sys/class/gpio", () => gpioSysfsCases(() => bench));
  describe("a DS18B20 through w1_therm", () => oneWireCases(() => bench));
  describe("hwmon on an I²C bus, and industrial I/O", () => i2cCases(() => bench));
  describe("a board on a USB serial converter", () => usbBoardCases(() => bench));

  it("killed, they leave their lines taken and the lamp on, and the next start has them in hand", async () => {
    const { lines, guest } = bench;
    await lines.becomes(LINE.lamp, 1);
    await bench.drivers.end("SIGKILL");
    // Sysfs keeps a line as it was, for whoever comes next; nobody else has it meanwhile.
    expect(await lines.level(LINE.lamp)).toBe(1);
    expect((await guest.run(`gpioget ${lines.chip} ${LINE.lid}`)).words).toContain("Device or resource busy");
    bench.drivers = await GuestDrivers.load(guest, entries);
    await lines.becomes(LINE.lamp, 0);
    expect((await bench.drivers.check())("lid-switch")).toMatchObject({
      ok: true,
      found: expect.stringContaining("in use, by the station or by a program that did not give it back"),
    });
    await bench.drivers.begin();
    await bench.drivers.sees("lid-switch state", 1);
    await lines.pull(LINE.lid, 0);
    await bench.drivers.sees("lid-switch state", 0);
  });

  it("check says what has gone; stopped, they give their lines back", async () => {
    const { probes, bus, board } = bench;
    await probes.set(0, "present", 0);
    await bus.unplugOutlet();
    board.unplug();
    await patiently(async () => !(await board.plugged()), "the kernel to have taken the port away");
    const of = await bench.drivers.check();
    expect(of("water-probe")).toMatchObject({ ok: false, found: expect.stringContaining("did not answer") });
    expect(of("outlet-sensor")).toMatchObject({
      ok: false,
      found: expect.stringMatching(/^no lm75; the kernel has .*sht21/),
    });
    expect(of("board")).toMatchObject({ ok: false, found: expect.stringContaining("it is not there") });
    await bench.drivers.end("SIGTERM");
    expect(await exported()).not.toMatch(/^gpio\d+$/m);
  });
});

function everyDriver(probes: readonly string[], board: string): DriverEntries {
  const line = (id: string, at: number, every_s: number) => ({
    ...{ id, driver: "digital-input", line: at, every_s },
  });
  const sensor = (id: string, subsystem: string, name: string) => ({
    ...{ id, driver: "kernel-sensor", subsystem, name },
  });
  return {
    output: { line: LINE.lamp },
    sources: [
      line("lid-switch", LINE.lid, LOOK_EVERY_S),
      line("taken-line", TAKEN_LINE, 1),
      { id: "water-probe", driver: "kernel-1-wire", device: probes[0] },
      { id: "reservoir-probe", driver: "kernel-1-wire", device: probes[1] },
      sensor("room-sensor", "hwmon", "sht21"),
      sensor("outlet-sensor", "hwmon", "lm75"),
      sensor("iio-sensor", "iio", "bench"),
      // It reports once a second. Silence tells of an unplugged board as well, but not for a minute: the port does it sooner.
      { id: "board", driver: "serial", path: board, silent_after_s: 60 },
    ],
  };
}
