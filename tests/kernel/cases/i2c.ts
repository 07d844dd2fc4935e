import { expect, it } from "vitest";
import type { DeviceBench } from "../device-bench.js";
import { ERRNO } from "../i2c.js";

const OUTLET = "outlet-sensor temperature";

/** hwmon drivers on an I²C bus, and a driver of industrial I/O. */
export function i2cCases(bench: () => DeviceBench): void {
  // The steps of the chip's own words are 0.003 °C and 0.002 % RH.
  const seesRoom = async (celsius: number, percent: number) => {
    await bench().drivers.seesAbout("room-sensor temperature", celsius, 0.01);
    await bench().drivers.seesAbout("room-sensor humidity", percent, 0.01);
  };

  it("shows what the registers of each chip hold, and what the driver of industrial I/O says", async () => {
    const { drivers } = bench();
    await drivers.sees(OUTLET, 20);
    await seesRoom(20, 45);
    // (73 + 7) × 250.001333 thousandths of a degree: the raw value, the offset and the scale of the kernel's own driver.
    const { value } = await drivers.seesAbout("iio-sensor temperature", 20, 0.01);
    expect(value).toBeCloseTo(20.000_107, 6);
  });

  it("follows the registers, below zero too", async () => {
    const { bus, drivers } = bench();
    await bus.outlet(-10.5);
    await drivers.sees(OUTLET, -10.5);
    await bus.outlet(25.5);
    await drivers.sees(OUTLET, 25.5);
    await bus.room(23.5, 54.8);
    await seesRoom(23.5, 54.8);
  });

  it.each([
    ["EIO", "read-error"],
    ["ENXIO", "read-error"],
    ["ETIMEDOUT", "timed-out"],
  ] as const)("%s of the bus is no value, and over when it is over", async (errno, reason) => {
    const { bus, drivers } = bench();
    await bus.fail(ERRNO[errno]);
    expect(await drivers.sees(OUTLET, reason)).not.toHaveProperty("value");
    await drivers.sees("room-sensor temperature", reason);
    await bus.fail(ERRNO.none);
    await drivers.sees(OUTLET, 25.5);
    await seesRoom(23.5, 54.8);
  });

  it("a sensor that is pulled is missing, and one that comes back under another number is found by its name", async () => {
    const { bus, drivers } = bench();
    const before = await bus.outletFolder();
    await bus.unplugOutlet();
    await drivers.sees(OUTLET, "missing");
    await bus.plugOtherIn();
    await bus.outlet(21.5);
    await bus.plugOutletIn();
    expect(await bus.outletFolder()).not.toBe(before);
    await drivers.sees(OUTLET, 21.5);
  });
}
