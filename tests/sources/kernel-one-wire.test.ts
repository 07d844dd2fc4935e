import { execFileSync } from "node:child_process";
import { linkSync, mkdirSync, mkdtempSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import type { Source } from "../../station/model/source.js";
import { createKernelOneWire } from "../../station/sources/kernel-one-wire/device.js";
import { kernelOneWireEntrySchema } from "../../station/sources/kernel-one-wire/entry.js";
import { readSysText } from "../../station/sources/sys-text.js";
import { realClock, Witness } from "./witness.js";

const DEVICE = "28-0123456789ab";
const GOOD = "91 01 4b 46 7f ff 0c 10 70 : crc=70 YES\n91 01 4b 46 7f ff 0c 10 70 t=25062\n";
const OTHER = "a2 00 4b 46 7f ff 0c 10 74 : crc=74 YES\na2 00 4b 46 7f ff 0c 10 74 t=10125\n";
const CRC_NO = "91 01 4b 46 7f ff 0c 10 71 : crc=70 NO\n91 01 4b 46 7f ff 0c 10 70 t=25062\n";
const ZEROS = "00 00 00 00 00 00 00 00 00 : crc=00 YES\n00 00 00 00 00 00 00 00 00 t=0\n";
const POWER_ON = "50 05 4b 46 7f ff 0c 10 1c : crc=1c YES\n50 05 4b 46 7f ff 0c 10 1c t=85000\n";

const entry = {
  ...kernelOneWireEntrySchema.parse({ id: "probe", driver: "kernel-1-wire", device: DEVICE }),
  every_s: 0.01,
};

let sysRoot: string;
let bus: string;
let folder: string;
let file: string;
let source: Source;
let witness: Witness;

/** Puts a text in the file's place at once, so that no read sees half of it. */
function show(text: string): void {
  writeFileSync(`${file}.new`, text);
  renameSync(`${file}.new`, file);
}

beforeEach(() => {
  sysRoot = mkdtempSync(join(tmpdir(), "sys-"));
  bus = join(sysRoot, "bus", "w1", "devices");
  folder = join(bus, DEVICE);
  file = join(folder, "w1_slave");
  mkdirSync(folder, { recursive: true });
  witness = new Witness();
  source = createKernelOneWire(entry, { clock: realClock, sysRoot });
});

afterEach(async () => {
  await source.stop();
  rmSync(sysRoot, { recursive: true });
});

describe("a DS18B20 through the kernel", () => {
  test("is read in °C, and is open while it can be read", async () => {
    show(GOOD);
    source.start(witness);
    expect(await witness.nextValue("temperature")).toBe(25.0625);
    expect(source.status()).toMatchObject({
      source: "probe",
      driver: "kernel-1-wire",
      state: "open",
      reason: null,
    });
    expect(source.status().accepted).toBeGreaterThan(0);
  });

  test("missing: no folder of that number", async () => {
    rmSync(folder, { recursive: true });
    source.start(witness);
    await witness.nextFault("missing");
    expect(source.status()).toMatchObject({ state: "backing-off", reason: "missing" });
  });

  test("unplugged while open: the folder goes, and no old value stays", async () => {
    show(GOOD);
    source.start(witness);
    await witness.nextValue("temperature");
    rmSync(folder, { recursive: true });
    await witness.nextFault("missing");
    const after = witness.readings.length;
    await witness.nextFault("missing");
    expect(witness.readings.slice(after).every((raw) => "fault" in raw)).toBe(true);
  });

  test("silent: a read that does not come back times out, is never doubled, and its late answer is thrown away", async () => {
    let inHand = 0;
    let most = 0;
    source = createKernelOneWire(entry, {
      clock: realClock,
      sysRoot,
      limitMs: 60,
      readText: async (path) => {
        inHand += 1;
        most = Math.max(most, inHand);
        return readSysText(path).finally(() => {
          inHand -= 1;
        });
      },
    });
    execFileSync("mkfifo", [file]);
    linkSync(file, join(folder, "way-out"));
    source.start(witness);
    await witness.nextFault("timed-out");
    expect(source.status().state).toBe("silent");
    await witness.nextFault("timed-out");
    expect(most).toBe(1);
    show(OTHER);
    const value = witness.nextValue("temperature");
    writeFileSync(join(folder, "way-out"), GOOD);
    expect(await value).toBe(10.125);
    expect(witness.readings.filter((raw) => "value" in raw)).toHaveLength(1);
    expect(source.status()).toMatchObject({ state: "open", reason: null });
  });

  test.each([
    ["an empty file", "", "empty"],
    ["a text that is none of the kernel's", "-bash: cat: no\n", "garbled"],
    ["a CRC that the kernel refused, with an old value below", CRC_NO, "crc-failed"],
    ["nine zero bytes", ZEROS, "all-zeros"],
    ["the power-on value", POWER_ON, "power-on-value"],
    ["one line of two", `${GOOD.split("\n")[0]}\n`, "garbled"],
  ])("garbage: %s is bad with its reason, and counted", async (_, text, fault) => {
    show(GOOD);
    source.start(witness);
    await witness.nextValue("temperature");
    show(text);
    await witness.nextFault(fault);
    expect(source.status()).toMatchObject({ state: "backing-off", reason: fault });
    expect(source.status().dropped[fault]).toBeGreaterThan(0);
  });

  test("recovered: it reads again as soon as the probe is back", async () => {
    rmSync(folder, { recursive: true });
    source.start(witness);
    await witness.nextFault("missing");
    mkdirSync(folder);
    show(OTHER);
    expect(await witness.nextValue("temperature")).toBe(10.125);
    expect(source.status()).toMatchObject({ state: "open", reason: null, detail: null });
  });

  test("a check while it runs waits for the read under way", async () => {
    let inHand = 0;
    let most = 0;
    source = createKernelOneWire(entry, {
      clock: realClock,
      sysRoot,
      readText: (path) => {
        inHand += 1;
        most = Math.max(most, inHand);
        return readSysText(path).finally(() => {
          inHand -= 1;
        });
      },
    });
    show(GOOD);
    source.start(witness);
    for (let i = 0; i < 20; i += 1) expect((await source.check())[0]).toMatchObject({ ok: true });
    expect(most).toBe(1);
  });

  test("stop may be called twice, and nothing is said after it", async () => {
    show(GOOD);
    source.start(witness);
    await witness.nextValue("temperature");
    const stopped = source.stop();
    const told = witness.readings.length;
    await Promise.all([stopped, source.stop()]);
    expect(witness.readings.length).toBe(told);
    expect(source.status().state).toBe("closed");
  });
});

describe("check", () => {
  const found = async () => (await source.check())[0];

  test("no bus: says which overlay is missing", async () => {
    rmSync(join(sysRoot, "bus"), { recursive: true });
    expect(await found()).toMatchObject({ ok: false, mend: expect.stringContaining("dtoverlay=w1-gpio") });
  });

  test("an empty bus: says to look at the pull-up", async () => {
    rmSync(folder, { recursive: true });
    expect(await found()).toMatchObject({ ok: false, mend: expect.stringContaining("4.7 kΩ") });
  });

  test("another probe: names the ids that are there", async () => {
    renameSync(folder, join(bus, "28-0000000000ff"));
    expect(await found()).toMatchObject({ ok: false, found: expect.stringContaining("28-0000000000ff") });
  });

  test("a probe that reads, and one that does not", async () => {
    show(GOOD);
    expect(await found()).toMatchObject({ ok: true, found: "reads 25.0625 °C at 12 bits", mend: "" });
    show("");
    expect(await found()).toMatchObject({ ok: false, found: expect.stringContaining("empty") });
  });
});
