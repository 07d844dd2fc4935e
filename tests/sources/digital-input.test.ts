import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import type { Source } from "../../station/model/source.js";
import { createDigitalInput } from "../../station/sources/digital-input/device.js";
import { digitalInputEntrySchema } from "../../station/sources/digital-input/entry.js";
import { BenchLines, errno, sysWithChips } from "./bench-lines.js";
import { realClock, Witness } from "./witness.js";

/** Line 17 of the header's chip, whose lines start at 512 in sysfs. */
const LINE = 512 + 17;

let sysRoot: string;
let lines: BenchLines;
let witness: Witness;
let source: Source | null;
/** How long a look may take; short only where one is meant not to come back. */
let limitMs: number;

function create(more: object = {}, every_s = 0.02): Source {
  const entry = digitalInputEntrySchema.parse({
    id: "lid",
    driver: "digital-input",
    line: 17,
    debounce_ms: 5,
    ...more,
  });
  source = createDigitalInput(
    { ...entry, every_s },
    { clock: realClock, sysRoot, gpio: lines.factory, limitMs },
  );
  return source;
}

beforeEach(() => {
  sysRoot = mkdtempSync(join(tmpdir(), "sys-"));
  sysWithChips(sysRoot);
  lines = new BenchLines();
  witness = new Witness();
  source = null;
  limitMs = 10_000;
});

afterEach(async () => {
  await source?.stop();
  rmSync(sysRoot, { recursive: true });
});

const stateIs = (value: number) => witness.nextReading((raw) => "value" in raw && raw.value === value);

describe("a digital input", () => {
  test("reports its state at start, at every change, and again without one", async () => {
    const started = create();
    const off = stateIs(0);
    started.start(witness);
    await off;
    await stateIs(0);
    const on = stateIs(1);
    lines.move(LINE, 1);
    expect(await on).toMatchObject({ source: "lid", point: "state", unit: "state" });
    await stateIs(1);
    expect(started.status()).toMatchObject({ state: "open", reason: null });
  });

  test("a change between two looks is reported without waiting for the next", async () => {
    const started = create({}, 60);
    const off = stateIs(0);
    started.start(witness);
    await off;
    const on = stateIs(1);
    lines.move(LINE, 1);
    await on;
  });

  test("active low turns it round", async () => {
    lines.levels.set(LINE, 0);
    create({ active_low: true }).start(witness);
    await stateIs(1);
    lines.move(LINE, 1);
    await stateIs(0);
  });

  test("a bouncing contact gives one change, and its bounces are counted", async () => {
    const started = create({ debounce_ms: 20 });
    const off = stateIs(0);
    started.start(witness);
    await off;
    const on = stateIs(1);
    for (const level of [1, 0, 1, 0, 1] as const) lines.move(LINE, level);
    await on;
    const changes = witness.readings.filter((raw, i) => {
      const before = witness.readings[i - 1];
      return "value" in raw && before !== undefined && "value" in before && before.value !== raw.value;
    });
    expect(changes).toHaveLength(1);
    expect(started.status().dropped).toEqual({ bounce: 2 });
  });

  test("garbage: a contact that never settles is bad, with its words", async () => {
    const started = create({ debounce_ms: 20 });
    started.start(witness);
    await stateIs(0);
    const fault = witness.nextFault("garbled");
    for (let i = 0; i < 40; i += 1) lines.move(LINE, i % 2 === 0 ? 1 : 0);
    await fault;
    expect(started.status().detail).toContain("does not settle");
    await stateIs(0);
  });

  test("missing: no sysfs, no such chip, no such line each have their words", async () => {
    const detail = async (more: object) => {
      const made = create(more);
      made.start(witness);
      await witness.nextFault("missing");
      await made.stop();
      return (await made.check())[0]?.found;
    };
    expect(await detail({ line: 200 })).toContain("lines 0 to 57");
    expect(await detail({ chip: "gpio-mockup" })).toContain(
      "there are pinctrl-bcm2711, raspberrypi-exp-gpio",
    );
    rmSync(join(sysRoot, "class"), { recursive: true });
    expect(await detail({})).toContain("no GPIO chip");
  });

  test.each([
    ["EBUSY", "busy", "taken"],
    ["EACCES", "no-permission", "may not use"],
    ["EINVAL", "missing", "not there"],
  ])("a line that cannot be had (%s) is %s", async (code, reason, words) => {
    lines.refuse = errno(code);
    const started = create();
    started.start(witness);
    await witness.nextFault(reason);
    expect(started.status()).toMatchObject({
      state: "backing-off",
      reason,
      detail: expect.stringContaining(words),
    });
  });

  test("unplugged while open: a lost line is bad and given back; recovered: it is taken again", async () => {
    const started = create();
    started.start(witness);
    await stateIs(0);
    lines.fail = errno("ENODEV");
    await witness.nextFault("missing");
    expect(lines.taken.size).toBe(0);
    lines.fail = null;
    lines.levels.set(LINE, 1);
    await stateIs(1);
    expect(started.status()).toMatchObject({ state: "open", reason: null });
  });

  test("silent: a look that does not come back is timed out, and the line recovers", async () => {
    limitMs = 60;
    const started = create();
    started.start(witness);
    await stateIs(0);
    let release = () => {};
    lines.hang = new Promise((resolve) => {
      release = resolve;
    });
    await witness.nextFault("timed-out");
    expect(started.status().state).toBe("silent");
    lines.hang = null;
    release();
    await stateIs(0);
    expect(started.status().state).toBe("open");
  });

  test("stop gives the line back", async () => {
    const started = create();
    started.start(witness);
    await stateIs(0);
    expect([...lines.taken.keys()]).toEqual([LINE]);
    await started.stop();
    expect(lines.taken.size).toBe(0);
  });

  test("check says where the chip's lines start, and leaves the line free", async () => {
    lines.levels.set(LINE, 1);
    const [finding] = await create().check();
    expect(finding).toMatchObject({
      ok: true,
      found: expect.stringMatching(
        /start at 512 .* is 529 \(through \/sys\/class\/gpio.*\); the level is high/,
      ),
    });
    expect(lines.taken.size).toBe(0);
  });

  test("check takes no line away from a station that is running", async () => {
    const folder = join(sysRoot, "class", "gpio", `gpio${LINE}`);
    mkdirSync(folder);
    writeFileSync(join(folder, "value"), "1\n");
    const [finding] = await create().check();
    expect(finding).toMatchObject({ ok: true, found: expect.stringMatching(/in use.*high/) });
    expect(lines.directions).toEqual([]);
  });
});
