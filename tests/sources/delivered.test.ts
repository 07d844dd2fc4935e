import { afterEach, expect, it, vi } from "vitest";
import type { Instant } from "../../station/model/instant.js";
import type { RawReading } from "../../station/model/reading.js";
import { createDelivered } from "../../station/sources/delivered.js";
import { createSource, driverEntrySchema, latenessOf } from "../../station/sources/drivers.js";

afterEach(() => {
  vi.useRealTimers();
});

const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

it("counts no more of a step than it was to take: while the loop is held up nothing can come in", async () => {
  const took = [50, 2_000, 50, 51, 30_000, 50];
  let mono = 0;
  let steps = 0;
  const delivered = createDelivered({
    latestMs: 200,
    mono: () => mono,
    pause: async () => {
      mono += took[steps] ?? 50;
      steps += 1;
    },
  });
  await delivered();
  expect(steps).toBe(6);
});

it("has all that the simulated bench read before it, also after the loop was held up", async () => {
  vi.useFakeTimers({ toFake: ["setTimeout", "setInterval", "clearInterval"] });
  const entry = driverEntrySchema.parse({ driver: "bench-simulator", id: "bench", every_s: 0.5 });
  // The clock goes on while the loop stands.
  let heldMs = 0;
  let passed = 0;
  const now = (): Instant => ({ wall: 1e12 + passed + heldMs, mono: passed + heldMs });
  const advance = async (ms: number) => {
    for (let done = 0; done < ms; done += 10) {
      passed += 10;
      await vi.advanceTimersByTimeAsync(10);
    }
  };
  const clock = { now, bootId: "boot", state: () => "synchronised" as const };
  const source = createSource(entry, { clock, sysRoot: "/nowhere" });
  const readings: RawReading[] = [];
  source.start({ reading: (raw) => readings.push(raw), status: () => undefined });
  const delivered = createDelivered({ latestMs: latenessOf(entry), mono: () => now().mono, pause });
  await advance(1_040);
  heldMs += 1_900;
  const end = now().mono;
  const before = readings.length;
  let all: number | null = null;
  void delivered().then(() => {
    all = readings.length;
  });
  await advance(2_000);
  const ofTheTime = readings.filter(({ at }) => at.mono < end).length;
  expect(ofTheTime).toBeGreaterThan(before);
  expect(all).toBeGreaterThanOrEqual(ofTheTime);
  await source.stop();
});
