import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { createDigitalOutput, type DigitalOutput } from "../../station/sources/digital-input/output.js";
import { digitalOutputEntrySchema } from "../../station/sources/digital-input/output-entry.js";
import { BenchLines, errno, sysWithChips } from "./bench-lines.js";

/** Line 17 of the header's chip, whose lines start at 512 in sysfs. */
const LINE = 512 + 17;

let sysRoot: string;
let lines: BenchLines;
/** Moved by the test, milliseconds. */
let mono: number;

/** Longer than a machine with too much to do takes: only a line that hangs comes to it. */
const LIMIT_MS = 60_000;

function output(more: object = {}, closeLimitMs = LIMIT_MS): DigitalOutput {
  const entry = digitalOutputEntrySchema.parse({ line: 17, ...more });
  return createDigitalOutput(entry, { sysRoot, gpio: lines.factory, mono: () => mono, closeLimitMs });
}

const becomes = (lamp: DigitalOutput, state: string) => expect.poll(() => lamp.state()).toBe(state);

beforeEach(() => {
  sysRoot = mkdtempSync(join(tmpdir(), "sys-"));
  sysWithChips(sysRoot);
  lines = new BenchLines();
  mono = 0;
});

afterEach(() => rmSync(sysRoot, { recursive: true }));

describe("a digital output", () => {
  test("is taken at its inactive level, switched, and left inactive", async () => {
    const lamp = output({ active_low: true });
    expect(lamp.state()).toBe("inactive");
    lamp.set(true);
    await becomes(lamp, "active");
    expect(lines.directions).toEqual(["high"]);
    expect(lines.levels.get(LINE)).toBe(0);
    await lamp.close();
    expect(lines.levels.get(LINE)).toBe(1);
    expect(lines.taken.size).toBe(0);
  });

  test("that a killed station left on is put out at the start, though nothing was set", async () => {
    lines.levels.set(LINE, 1);
    const lamp = output();
    await expect.poll(() => lines.writes).toEqual([[LINE, 0]]);
    expect(lines.levels.get(LINE)).toBe(0);
    await lamp.close();
  });

  test("that cannot be put out at the start is faulty, so that it is tried again", async () => {
    lines.refuse = errno("EBUSY");
    const lamp = output();
    await becomes(lamp, "faulty");
    lines.refuse = null;
    mono += 1000;
    lamp.set(false);
    await becomes(lamp, "inactive");
    expect(lines.writes).toEqual([[LINE, 0]]);
    await lamp.close();
  });

  test("settles on the last of several wishes", async () => {
    const lamp = output();
    for (const wish of [true, false, true, false]) lamp.set(wish);
    await lamp.close();
    // Closed before the line was open, nothing need have been written: it was opened at its inactive level.
    expect(lines.levels.get(LINE) ?? 0).toBe(0);
    expect(lamp.state()).toBe("inactive");
  });

  test("is faulty where the line cannot be had, and works once it can", async () => {
    lines.refuse = errno("EBUSY");
    const lamp = output();
    lamp.set(true);
    await becomes(lamp, "faulty");
    expect(await lamp.check()).toMatchObject({ ok: false, found: expect.stringContaining("taken") });
    lines.refuse = null;
    mono += 1000;
    lamp.set(true);
    await becomes(lamp, "active");
    await lamp.close();
  });

  test("closes once however often it is asked, and takes no wish after that", async () => {
    const lamp = output();
    lamp.set(true);
    await becomes(lamp, "active");
    await Promise.all([lamp.close(), lamp.close()]);
    lamp.set(true);
    await lamp.close();
    expect(lines.writes.at(-1)).toEqual([LINE, 0]);
    expect(lines.writes.filter(([, level]) => level === 0)).toHaveLength(1);
    expect(lines.taken.size).toBe(0);
  });

  test("that was lost while it was on is taken once more to be put out", async () => {
    const lamp = output();
    lamp.set(true);
    await becomes(lamp, "active");
    lines.fail = errno("EIO");
    lamp.set(true);
    await becomes(lamp, "faulty");
    lines.fail = null;
    await lamp.close();
    expect(lines.levels.get(LINE)).toBe(0);
    expect(lines.taken.size).toBe(0);
  });

  test("does not hold up the end of the station where the line does not answer, and is taken no more after it", async () => {
    const lamp = output({}, 30);
    await expect.poll(() => lines.writes.length).toBe(1);
    let release = () => {};
    lines.hang = new Promise((resolve) => {
      release = resolve;
    });
    lamp.set(true);
    await lamp.close();
    expect(lines.taken.size).toBe(0);
    lines.hang = null;
    release();
    await new Promise((resolve) => setImmediate(resolve));
    expect(lines.taken.size).toBe(0);
  });

  test("that does not let go of its line is faulty, and close comes back all the same", async () => {
    const lamp = output();
    await expect.poll(() => lines.writes.length).toBe(1);
    lines.keep = errno("EINVAL");
    await lamp.close();
    expect(lamp.state()).toBe("faulty");
  });

  test("that is only checked is not taken from the station that is running, and not put to anything", async () => {
    const folder = join(sysRoot, "class", "gpio", `gpio${LINE}`);
    mkdirSync(folder);
    writeFileSync(join(folder, "value"), "1\n");
    const lamp = output();
    expect(await lamp.check()).toMatchObject({ ok: true, found: expect.stringContaining("in use") });
    await lamp.close();
    expect(lines.asked).toBe(0);
    expect(lines.writes).toEqual([]);
  });
});
