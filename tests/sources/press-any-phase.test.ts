import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import { createChannelBoard } from "../../station/channels/board.js";
import { defineChannel } from "../../station/channels/define.js";
import type { Clock } from "../../station/model/instant.js";
import type { RawReading, Reading } from "../../station/model/reading.js";
import { createDigitalInput } from "../../station/sources/digital-input/device.js";
import { digitalInputEntrySchema } from "../../station/sources/digital-input/entry.js";
import { BenchLines, sysWithChips } from "./bench-lines.js";

const LINE = 512 + 17;
const EVERY_MS = 100;
/** A look that answers late may bring the level of before the edge. */
const ANSWER_MS = 8;

let sysRoot: string;

/** Faked, so the milliseconds are those of the test. */
const clock: Clock = {
  now: () => ({ wall: Date.now(), mono: Date.now() }),
  bootId: "test",
  state: () => "synchronised",
};

beforeEach(() => {
  sysRoot = mkdtempSync(join(tmpdir(), "sys-"));
  sysWithChips(sysRoot);
  vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout", "Date"], now: 1_000_000 });
});

afterEach(() => {
  vi.useRealTimers();
  rmSync(sysRoot, { recursive: true });
});

/** A foot switch on a board of channels, looked at for the first time and known to be off. */
async function readyFootSwitch(debounceMs: number, answerMs: number) {
  const lines = new BenchLines();
  const entry = digitalInputEntrySchema.parse({
    id: "pedal",
    driver: "digital-input",
    line: 17,
    debounce_ms: debounceMs,
    every_s: EVERY_MS / 1000,
  });
  const board = createChannelBoard([defineChannel({ id: "pedal", kind: "foot-switch", source: "pedal" })]);
  const raws: RawReading[] = [];
  const taken: Reading[] = [];
  const source = createDigitalInput(entry, { clock, sysRoot, gpio: lines.factory });
  await new Promise<void>((resolve) => {
    source.start({
      reading: (raw) => {
        raws.push(raw);
        taken.push(...board.take(raw));
      },
      status: ({ state }) => {
        if (state === "open") resolve();
      },
    });
  });
  await vi.advanceTimersByTimeAsync(EVERY_MS + debounceMs);
  lines.answerMs = answerMs;
  await vi.advanceTimersByTimeAsync(2 * EVERY_MS);
  return { lines, source, raws, taken };
}

function changesOf(readings: readonly Reading[]): readonly Reading[] {
  return readings.filter(({ value }, i) => i > 0 && readings[i - 1]?.value !== value);
}

describe("a press, wherever it falls between two looks", () => {
  test("of the debounce time or longer gives its two edges, in order and at their moments", async () => {
    const presses = {
      phaseMs: fc.integer({ min: 0, max: EVERY_MS + ANSWER_MS }),
      longerMs: fc.integer({ min: 0, max: 3 * EVERY_MS }),
      answerMs: fc.integer({ min: 0, max: ANSWER_MS }),
      // Shorter than the time between two looks, and longer.
      debounceMs: fc.constantFrom(20, 250),
    };
    await fc.assert(
      fc.asyncProperty(fc.record(presses), async ({ phaseMs, longerMs, answerMs, debounceMs }) => {
        const { lines, source, raws, taken } = await readyFootSwitch(debounceMs, answerMs);
        await vi.advanceTimersByTimeAsync(phaseMs);
        const pressed = clock.now().mono;
        lines.move(LINE, 1);
        await vi.advanceTimersByTimeAsync(debounceMs + longerMs);
        const released = clock.now().mono;
        lines.move(LINE, 0);
        await vi.advanceTimersByTimeAsync(2 * EVERY_MS + debounceMs);
        const stopped = source.stop();
        await vi.advanceTimersByTimeAsync(ANSWER_MS);
        await stopped;

        const edges = changesOf(taken);
        expect(edges.map(({ value }) => value)).toEqual([1, 0]);
        // In the one case where a look has reported in the very millisecond of an edge, the edge comes after it.
        const [on, off] = edges.map(({ at }) => at.mono);
        const lookedAt = (mono: number, value: number) =>
          taken.some((reading) => reading.at.mono === mono && reading.value === value);
        expect(on).toBe(lookedAt(pressed, 0) ? pressed + debounceMs : pressed);
        expect(off).toBe(lookedAt(released, 1) ? released + debounceMs : released);
        const monos = raws.map(({ at }) => at.mono);
        expect(monos.every((mono, i) => i === 0 || mono > (monos[i - 1] ?? Number.NaN))).toBe(true);
      }),
      { numRuns: 150 },
    );
  });

  test("a contact that goes on bouncing does not fall silent: the old state is reported until just before", async () => {
    const { lines, source, taken } = await readyFootSwitch(20, 0);
    const before = taken.length;
    for (let i = 0; i < 60; i += 1) {
      lines.move(LINE, i % 2 === 0 ? 1 : 0);
      await vi.advanceTimersByTimeAsync(19);
    }
    expect(taken.length).toBeGreaterThan(before + 5);
    expect(taken.slice(before).every(({ value }) => value === 0)).toBe(true);
    await source.stop();
  });
});
