import { expect, it } from "vitest";
import { type DeviceBench, LINE } from "../device-bench.js";

/** As seldom as may be: what a test sees of a line comes of its edge. */
export const LOOK_EVERY_S = 60;

/** GPIO lines through /sys/class/gpio. */
export function gpioSysfsCases(bench: () => DeviceBench): void {
  it("edges become readings, long before the next look at the line", async () => {
    const { lines, drivers } = bench();
    await drivers.sees("lid-switch state", 0);
    const moments: number[] = [];
    for (const level of [1, 0, 1, 0, 1] as const) {
      const { before } = await lines.pull(LINE.lid, level);
      const { since } = await drivers.sees("lid-switch state", level);
      expect(since).toBeGreaterThanOrEqual(Math.floor(before));
      moments.push(since);
    }
    // By looks alone, each of the five would have been found by a look of its own.
    expect((moments.at(-1) ?? 0) - (moments[0] ?? 0)).toBeLessThan(3 * LOOK_EVERY_S * 1000);
  });

  it("a line that a driver of the kernel holds is bad, and said to be busy", async () => {
    await bench().drivers.sees("taken-line state", "busy");
  });

  it("its lamp is put on and out", async () => {
    const { lines, drivers } = bench();
    for (const on of [true, false, true]) {
      await drivers.put(on);
      await lines.becomes(LINE.lamp, on ? 1 : 0);
    }
  });
}
