import { closeSync, openSync } from "node:fs";
import { access, mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import { createDigitalInput } from "../../station/sources/digital-input/device.js";
import { digitalInputEntrySchema } from "../../station/sources/digital-input/entry.js";
import { checkLine, HeldLine } from "../../station/sources/gpio/held-line.js";
import { guarded, type OnoffLine } from "../../station/sources/gpio/onoff-line.js";
import { createTachometer } from "../../station/sources/tachometer/device.js";
import { tachometerEntrySchema } from "../../station/sources/tachometer/entry.js";
import { BenchLines, errno, sysWithChips } from "./bench-lines.js";
import { realClock, Witness } from "./witness.js";

// Root may open whatever it likes, so what a plain user may not has to be said here.
vi.mock("node:fs/promises", async (original) => {
  const real = await original<typeof import("node:fs/promises")>();
  return { ...real, access: vi.fn(real.access) };
});

const LINE = 512 + 17;

let sysRoot: string;
let lines: BenchLines;
let mono: number;

const held = () =>
  new HeldLine({ line: 17 }, { sysRoot, gpio: lines.factory, mono: () => mono }, "in", "both");

/** Files whose path ends so may not be opened by the station's user. */
function forbid(ending: string): void {
  vi.mocked(access).mockImplementation(async (path) => {
    if (String(path).endsWith(ending)) throw errno("EACCES");
    const real = await vi.importActual<typeof import("node:fs/promises")>("node:fs/promises");
    return real.access(path);
  });
}

beforeEach(async () => {
  sysRoot = await mkdtemp(join(tmpdir(), "sys-"));
  sysWithChips(sysRoot);
  lines = new BenchLines();
  mono = 0;
});

afterEach(async () => {
  vi.mocked(access).mockRestore();
  await rm(sysRoot, { recursive: true });
});

describe("a line that the station's user may not use", () => {
  test.each([
    ["export is closed to it", "export", false],
    ["it is exported, but its level is closed to it", `gpio${LINE}/value`, true],
  ])("%s: it is not even tried, since to try it keeps the main thread busy", async (_, ending, exported) => {
    if (exported) {
      await mkdir(join(sysRoot, "class", "gpio", `gpio${LINE}`));
      await writeFile(join(sysRoot, "class", "gpio", `gpio${LINE}`, "value"), "0\n");
    }
    forbid(ending);
    expect(await held().read()).toMatchObject({ reason: "no-permission" });
    expect(lines.asked).toBe(0);
  });

  test("check says what to do, without trying it", async () => {
    forbid("export");
    const finding = await checkLine("pedal", held(), String);
    expect(finding).toMatchObject({ ok: false, mend: expect.stringContaining("usermod -aG gpio") });
    expect(lines.asked).toBe(0);
  });

  test("a kernel without export is a line that is missing", async () => {
    await rm(join(sysRoot, "class", "gpio", "export"));
    expect(await held().read()).toMatchObject({ reason: "missing" });
  });
});

describe("a line that cannot be had", () => {
  test("is tried again after 1 s, 2 s, 4 s and so on up to 30 s, and says why all the while", async () => {
    const line = held();
    lines.refuse = errno("EBUSY");
    const tried: number[] = [];
    for (mono = 0; mono <= 121_000; mono += 500) {
      const before = lines.asked;
      expect(await line.read()).toMatchObject({ reason: "busy", detail: expect.stringContaining("taken") });
      if (lines.asked > before) tried.push(mono / 1000);
    }
    expect(tried).toEqual([0, 1, 3, 7, 15, 31, 61, 91, 121]);
  });

  test("is patient anew once it was had", async () => {
    const line = held();
    lines.refuse = errno("EBUSY");
    await line.read();
    mono = 1000;
    await line.read();
    lines.refuse = null;
    mono = 3000;
    expect(await line.read()).toEqual({ level: 0 });
    lines.fail = errno("EIO");
    expect(await line.read()).toMatchObject({ reason: "read-error" });
    // A line that was lost after it was had is taken again at once.
    lines.fail = null;
    expect(await line.read()).toEqual({ level: 0 });
  });

  test("one that is closed while it is being looked for is not taken after all", async () => {
    const line = held();
    const told = line.read();
    line.close();
    expect(await told).toMatchObject({ reason: "missing" });
    expect(lines.taken.size).toBe(0);
  });
});

describe("a line that does not let go", () => {
  test("stop comes back, and the status says what was not given back", async () => {
    const entry = digitalInputEntrySchema.parse({ id: "lid", driver: "digital-input", line: 17 });
    const source = createDigitalInput(entry, { clock: realClock, sysRoot, gpio: lines.factory });
    const witness = new Witness();
    const open = witness.nextStatus(({ state }) => state === "open");
    source.start(witness);
    await open;
    lines.keep = errno("EINVAL");
    await source.stop();
    expect(source.status()).toMatchObject({
      state: "closed",
      reason: "read-error",
      detail: expect.stringMatching(/could not be given back: EINVAL/),
    });
    expect(witness.statuses.at(-1)).toMatchObject({ state: "closed", reason: "read-error" });
  });

  test("the other line of a tachometer is given back all the same", async () => {
    const entry = tachometerEntrySchema.parse({ id: "fan", driver: "tachometer", line: 17, wire_test: 27 });
    const source = createTachometer(entry, {
      clock: realClock,
      sysRoot,
      gpio: (number, direction, edge) => {
        const line = lines.factory(number, direction, edge);
        if (number !== LINE) return line;
        return {
          ...line,
          unexport: () => {
            throw errno("EINVAL");
          },
        };
      },
    });
    const witness = new Witness();
    const open = witness.nextStatus(({ state }) => state === "open");
    source.start(witness);
    await open;
    await source.stop();
    expect([...lines.taken.keys()]).toEqual([LINE]);
    expect(source.status()).toMatchObject({ state: "closed", reason: "read-error" });
  });
});

describe("a line of the library that is lost while it is watched", () => {
  const { Gpio } = createRequire(import.meta.url)("onoff") as typeof import("onoff");

  /** The library's own line, with a handle that is none any more; its constructor would want a real /sys. */
  function lostLine(): OnoffLine & { pollers: number } {
    const fd = openSync("/dev/null", "r");
    closeSync(fd);
    const line = Object.create(Gpio.prototype);
    return Object.assign(line, {
      pollers: 1,
      _valueFd: fd,
      _readBuffer: Buffer.alloc(16),
      _readSyncBuffer: Buffer.alloc(16),
      _listeners: [() => {}],
      _poller: {
        remove: () => {
          line.pollers -= 1;
        },
      },
    });
  }

  test("does not throw at whoever handles the edge, says no level, and is watched no more", async () => {
    const line = lostLine();
    expect(() => line.readSync()).toThrow("EBADF");
    const guard = guarded(line);
    expect([0, 1]).not.toContain(line.readSync());
    expect(line.pollers).toBe(0);
    await expect(guard.read()).rejects.toMatchObject({ code: "EBADF" });
    await expect(guard.write(1)).rejects.toMatchObject({ code: "EBADF" });
  });

  test("is told to the next look even where its poller has lost it too", async () => {
    const line = lostLine();
    Object.assign(line, {
      _poller: {
        remove: () => {
          throw new Error("No such file or directory");
        },
      },
    });
    const guard = guarded(line);
    line.readSync();
    await expect(guard.read()).rejects.toMatchObject({ code: "EBADF" });
  });
});
