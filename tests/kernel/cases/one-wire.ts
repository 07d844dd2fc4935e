import { expect, it } from "vitest";
import type { DeviceBench } from "../device-bench.js";

const [WATER, RESERVOIR] = ["water-probe temperature", "reservoir-probe temperature"] as const;

/** A DS18B20 through w1_therm, whose faults the kernel tells in its own way. */
export function oneWireCases(bench: () => DeviceBench): void {
  it("each probe says what it measures itself, below zero and at a true 85 °C as well", async () => {
    const { probes, drivers } = bench();
    await drivers.sees(RESERVOIR, 21);
    // Steps of 1/16 °C: the data sheet's own, at 12 bits.
    for (const celsius of [-10.125, 23.4375, 85, 18.5]) {
      await probes.set(0, "millidegrees", Math.round(celsius * 1000));
      expect(await drivers.sees(WATER, celsius)).not.toHaveProperty("doubt");
    }
    await drivers.sees(RESERVOIR, 21);
  });

  it.each([
    ["a damaged checksum, of which the kernel says no more than an empty file", "bad_crc", "empty"],
    ["the value of a probe that has lost its supply, whose checksum is right", "power_on", "power-on-value"],
  ] as const)("%s, is no temperature, until it is over", async (_, fault, reason) => {
    const { probes, drivers } = bench();
    await probes.set(0, fault, 1);
    expect(await drivers.sees(WATER, reason)).not.toHaveProperty("value");
    await drivers.sees(RESERVOIR, 21);
    await probes.set(0, fault, 0);
    await drivers.sees(WATER, 18.5);
  });

  it("a probe that is pulled is bad though the kernel still shows it, and is taken up again with its value of then", async () => {
    const { probes, drivers } = bench();
    await probes.set(0, "present", 0);
    await drivers.sees(WATER, "empty");
    expect(await probes.shown()).toContain(probes.ids[0]);
    await probes.set(0, "millidegrees", 19_000);
    await probes.set(0, "present", 1);
    await drivers.sees(WATER, 19);
  });

  it("a bus with nothing on it gives neither, and both again", async () => {
    const { probes, drivers } = bench();
    for (const probe of [0, 1]) await probes.set(probe, "present", 0);
    await drivers.sees(WATER, "empty");
    await drivers.sees(RESERVOIR, "empty");
    for (const probe of [0, 1]) await probes.set(probe, "present", 1);
    await drivers.sees(WATER, 19);
    await drivers.sees(RESERVOIR, 21);
  });

  it("a probe that the kernel has given up is missing, and is taken up when the kernel finds it again", async () => {
    const { probes, drivers } = bench();
    await probes.set(0, "present", 0);
    await probes.giveUp(0);
    await drivers.sees(WATER, "missing");
    await probes.set(0, "present", 1);
    await drivers.sees(WATER, 19);
  });
}
