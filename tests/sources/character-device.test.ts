import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import type { Source } from "../../station/model/source.js";
import { createDigitalInput } from "../../station/sources/digital-input/device.js";
import { digitalInputEntrySchema } from "../../station/sources/digital-input/entry.js";
import { createDigitalOutput } from "../../station/sources/digital-input/output.js";
import { accessFor } from "../../station/sources/gpio/access.js";
import { installedTools } from "../../station/sources/gpio/gpiod-tools.js";
import { HeldLine } from "../../station/sources/gpio/held-line.js";
import { BenchGpiod } from "./bench-gpiod.js";
import { BenchLines, sysWithChips } from "./bench-lines.js";
import { realClock, Witness } from "./witness.js";

const mono = () => realClock.now().mono;
const until = (is: () => boolean) =>
  vi.waitFor(() => expect(is()).toBe(true), { timeout: 20_000, interval: 10 });
const valued = (witness: Witness) => witness.readings.flatMap((raw) => ("value" in raw ? [raw] : []));
const lastOf = (witness: Witness) => valued(witness).at(-1)?.value;

/** A /sys without lines, as kernels have it that were built without them. */
let sysRoot: string;
beforeEach(() => {
  sysRoot = mkdtempSync(join(tmpdir(), "sys-"));
});
afterEach(() => {
  rmSync(sysRoot, { recursive: true });
});

describe("which way a line is had", () => {
  const tools = installedTools("/nowhere");

  test("through sysfs where the kernel has it, else by the character device; each says why", async () => {
    const boundary = { sysRoot, mono, tools };
    expect((await accessFor({ line: 17 }, boundary)).why).toContain("no /sys/class/gpio");
    sysWithChips(sysRoot);
    expect((await accessFor({ line: 17 }, boundary)).why).toContain("/sys/class/gpio, which this kernel has");
    expect((await accessFor({ line: 17, bias: "pull-up" }, boundary)).why).toContain("bias");
    expect((await accessFor({ line: "lid" }, boundary)).why).toContain("name");
  });

  test("where neither is there, it is said what to install", async () => {
    const held = new HeldLine({ line: 17 }, { sysRoot, mono, tools }, "in", "both");
    expect(await held.read()).toMatchObject({
      reason: "missing",
      detail: expect.stringContaining("not installed"),
      mend: "sudo apt install gpiod",
    });
  });

  test("sysfs is not asked for what it cannot do", async () => {
    sysWithChips(sysRoot);
    const lines = new BenchLines();
    const held = new HeldLine({ line: "lid" }, { sysRoot, mono, gpio: lines.factory, tools }, "in", "both");
    expect(await held.read()).toMatchObject({ reason: "missing" });
    expect(lines.asked).toBe(0);
  });
});

describe.each([1, 2] as const)("a contact by the tools of version %i", (major) => {
  let bench: BenchGpiod;
  let source: Source | null;
  let witness: Witness;

  beforeEach(() => {
    bench = new BenchGpiod(major);
    witness = new Witness();
    source = null;
  });
  afterEach(async () => {
    await source?.stop();
    bench.remove();
  });

  const create = (more: object = {}): Source => {
    const entry = digitalInputEntrySchema.parse({
      id: "lid",
      driver: "digital-input",
      line: 3,
      debounce_ms: 5,
      every_s: 0.1,
      ...more,
    });
    source = createDigitalInput(entry, { clock: realClock, sysRoot, tools: bench.tools });
    return source;
  };
  const begun = async (more: object = {}) => {
    const open = witness.nextStatus(({ state }) => state === "open");
    create(more).start(witness);
    await open;
    await until(() => bench.holder(3) !== null);
  };

  test("reports the level it has, and an edge at the millisecond in which the kernel saw it", async () => {
    bench.put(3, 1);
    // Reports go forward in time, so no look may come between the edge and its arrival.
    await begun({ every_s: 30 });
    await until(() => lastOf(witness) === 1);
    const at = mono() + 1;
    await until(() => mono() > at + 40);
    bench.move(3, 0, at);
    await until(() => lastOf(witness) === 0);
    const turned = valued(witness).find(({ value }) => value === 0);
    expect(turned?.at.mono).toBe(Math.floor(at));
  });

  test("a look that is due when the thread was held up does not come before the edges of that time", async () => {
    await begun();
    await until(() => lastOf(witness) === 0);
    const at = mono() + 1;
    while (mono() <= at);
    bench.move(3, 1, at);
    // For longer than from one look to the next: the timer of the look is due before the row of the edge is read.
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 1000);
    await until(() => lastOf(witness) === 1);
    expect(valued(witness).find(({ value }) => value === 1)?.at.mono).toBe(Math.floor(at));
  });

  test("an edge dated by another clock counts as now", async () => {
    await begun();
    await until(() => lastOf(witness) !== undefined);
    const before = mono();
    bench.move(3, 1, 1_700_000_000_000);
    await until(() => lastOf(witness) === 1);
    const at = valued(witness).find(({ value }) => value === 1)?.at.mono ?? 0;
    expect(at).toBeGreaterThanOrEqual(before);
    expect(at).toBeLessThanOrEqual(mono());
  });

  test("a level that changed while nobody held the line is found at the next look", async () => {
    await begun();
    await until(() => lastOf(witness) === 0);
    bench.put(3, 1);
    await until(() => lastOf(witness) === 1);
    await until(() => bench.holder(3) !== null);
  });

  test("the bias that is asked for is set by all that take the line", async () => {
    await begun({ bias: "pull-up" });
    const flag = major === 1 ? "-B pull-up" : "-b pull-up";
    const calls = bench.calls();
    expect(calls.filter((call) => call.startsWith("gpioget"))).not.toHaveLength(0);
    expect(calls.filter((call) => call.startsWith("gpiomon"))).not.toHaveLength(0);
    for (const call of calls) expect(call).toContain(flag);
  });

  test("is found by the line's name", async () => {
    create({ line: "lid-switch" });
    const [finding] = (await source?.check()) ?? [];
    expect(finding).toMatchObject({ ok: true, found: expect.stringContaining("line 5 of /dev/gpiochip0") });
    create({ line: "lid-swich" });
    const [none] = (await source?.check()) ?? [];
    expect(none).toMatchObject({ ok: false, found: expect.stringContaining("there are lid-switch") });
  });

  test("lines that start together are looked for once", async () => {
    const boundary = { sysRoot, mono, tools: bench.tools };
    const lines = [0, 1, 2, 4, "lid-switch"].map((line) => new HeldLine({ line }, boundary, "in", "none"));
    await bench.tools.version();
    expect(await Promise.all(lines.map((line) => line.read()))).toEqual(Array(5).fill({ level: 0 }));
    expect(bench.surveys()).toEqual(["gpiodetect", "gpioinfo"]);
  });

  test("a gpiomon that dies is a line that was lost, and is had again", async () => {
    await begun();
    const lost = witness.nextStatus(({ state }) => state !== "open");
    process.kill(bench.holder(3) as number, "SIGKILL");
    expect(await lost).toMatchObject({ detail: expect.stringContaining("SIGKILL") });
    const back = witness.nextStatus(({ state }) => state === "open");
    await back;
    await until(() => bench.holder(3) !== null);
  });

  test("a line that another holds, and a device that is closed to the user, have their words", async () => {
    const other = bench.tools.hold("gpiomon", ["gpiochip0", "3"], () => {});
    await until(() => bench.holder(3) !== null);
    const busy = witness.nextStatus(({ reason }) => reason === "busy");
    create().start(witness);
    await busy;
    other.stop();
    await other.ended;
    await source?.stop();
    bench.close(true);
    const closed = witness.nextStatus(({ reason }) => reason === "no-permission");
    create().start(witness);
    await closed;
  });

  test("check says the chip, the line and the way, and takes nothing from a station that is running", async () => {
    const [free] = await create().check();
    expect(free).toMatchObject({
      ok: true,
      found: expect.stringMatching(
        /pinctrl-bcm2711, line 3 of \/dev\/gpiochip0.*no \/sys\/class\/gpio.*level is low/,
      ),
    });
    await begun();
    const holder = bench.holder(3);
    const entry = digitalInputEntrySchema.parse({ id: "lid", driver: "digital-input", line: 3 });
    const [used] = await createDigitalInput(entry, { clock: realClock, sysRoot, tools: bench.tools }).check();
    expect(used).toMatchObject({ ok: true, found: expect.stringContaining("in use, by gpiomon") });
    expect(bench.holder(3)).toBe(holder);
  });

  test("an output holds its level, changes it, and lets go", async () => {
    const output = createDigitalOutput({ line: 6, active_low: false }, { sysRoot, tools: bench.tools, mono });
    await until(() => bench.holder(6) !== null && bench.level(6) === "0");
    output.set(true);
    await until(() => output.state() === "active");
    await until(() => bench.holder(6) !== null && bench.level(6) === "1");
    await output.close();
    await until(() => bench.holder(6) === null);
    expect(output.state()).toBe("inactive");
    expect(bench.level(6)).toBe("0");
  });

  test("an output that is given back is off, though the tool that holds it was ended before it came to that", async () => {
    const output = createDigitalOutput({ line: 6, active_low: false }, { sysRoot, tools: bench.tools, mono });
    output.set(true);
    await until(() => output.state() === "active" && bench.level(6) === "1");
    bench.slowDown();
    await output.close();
    await until(() => bench.holder(6) === null);
    expect(output.state()).toBe("inactive");
    expect(bench.level(6)).toBe("0");
  });
});
