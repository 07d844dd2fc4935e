import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import type { Source } from "../../station/model/source.js";
import { createKernelOneWire } from "../../station/sources/kernel-one-wire/device.js";
import { kernelOneWireEntrySchema } from "../../station/sources/kernel-one-wire/entry.js";
import { realClock, Witness } from "./witness.js";

const GOOD = "91 01 4b 46 7f ff 0c 10 70 : crc=70 YES\n91 01 4b 46 7f ff 0c 10 70 t=25062\n";

let sysRoot: string;
let sources: Source[];
let witnesses: Witness[];

const deviceOf = (i: number) => `28-00000000000${i}`;
const fileOf = (i: number) => join(sysRoot, "bus", "w1", "devices", deviceOf(i), "w1_slave");
const witnessOf = (i: number): Witness => {
  const witness = witnesses[i];
  if (witness === undefined) throw new RangeError(`there is no probe ${i}`);
  return witness;
};

/** So many probes of one kernel, each asked for as often as can be. */
function probes(count: number, limitMs: number, readText?: (path: string) => Promise<string>): void {
  for (let i = 0; i < count; i += 1) {
    const entry = kernelOneWireEntrySchema.parse({
      id: `probe-${i}`,
      driver: "kernel-1-wire",
      device: deviceOf(i),
    });
    const read = readText === undefined ? {} : { readText };
    sources.push(
      createKernelOneWire({ ...entry, every_s: 0.005 }, { clock: realClock, sysRoot, limitMs, ...read }),
    );
    witnesses.push(new Witness());
  }
}

function startAll(): void {
  for (const [i, source] of sources.entries()) source.start(witnessOf(i));
}

/** Reads that end when the test says so, with how many of them there were at once. */
class Bus {
  readonly begun: string[] = [];
  most = 0;
  readonly #open = new Map<string, (text: string) => void>();

  readonly readText = (path: string) =>
    new Promise<string>((resolve) => {
      this.begun.push(path);
      this.#open.set(path, resolve);
      this.most = Math.max(this.most, this.#open.size);
    });

  /** Ends whatever read is under way, as soon as there is one. */
  async answer(): Promise<void> {
    await expect.poll(() => this.#open.size, { interval: 1 }).toBeGreaterThan(0);
    for (const [path, resolve] of [...this.#open]) {
      this.#open.delete(path);
      resolve(GOOD);
    }
  }

  release(): void {
    for (const resolve of this.#open.values()) resolve(GOOD);
    this.#open.clear();
  }
}

beforeEach(() => {
  sysRoot = mkdtempSync(join(tmpdir(), "sys-"));
  sources = [];
  witnesses = [];
});

afterEach(async () => {
  await Promise.all(sources.map((source) => source.stop()));
  rmSync(sysRoot, { recursive: true });
});

describe("all 1-Wire probes", () => {
  test("are read one at a time, each in its turn, and waiting for the others is not being silent", async () => {
    const bus = new Bus();
    probes(6, 10_000, bus.readText);
    startAll();
    const values = witnesses.map((witness) => witness.nextValue("temperature"));
    for (let i = 0; i < 6; i += 1) await bus.answer();
    expect(await Promise.all(values)).toEqual(Array(6).fill(25.0625));
    expect(bus.most).toBe(1);
    expect(bus.begun.slice(0, 6)).toEqual([0, 1, 2, 3, 4, 5].map(fileOf));
    for (const source of sources) expect(source.status()).toMatchObject({ state: "open", dropped: {} });
    const stopped = Promise.all(sources.map((source) => source.stop()));
    bus.release();
    await stopped;
  });

  test("behind one that does not come back the others say so, and no further read is begun until it has", async () => {
    const bus = new Bus();
    probes(4, 40, bus.readText);
    const first = witnesses.map((witness) => witness.nextFault("timed-out"));
    startAll();
    await Promise.all(first);
    await Promise.all(witnesses.map((witness) => witness.nextFault("timed-out")));
    expect(bus.begun).toEqual([fileOf(0)]);
    expect(sources[0]?.status()).toMatchObject({
      state: "silent",
      reason: "timed-out",
      detail: "the last read has still not come back",
    });
    expect(sources[3]?.status()).toMatchObject({
      state: "silent",
      reason: "timed-out",
      detail: `not read, because the read of ${deviceOf(0)} has not come back and only one goes at a time`,
    });
    expect(await sources[3]?.check()).toMatchObject([{ ok: false }]);
    expect(bus.begun).toHaveLength(1);

    bus.release();
    for (const witness of witnesses) {
      const value = witness.nextValue("temperature");
      let read = false;
      void value.then(() => {
        read = true;
      });
      while (!read) await bus.answer();
    }
    expect(bus.most).toBe(1);
    const stopped = Promise.all(sources.map((source) => source.stop()));
    bus.release();
    await stopped;
  });

  test("a probe that is stopped waits for its read under way, and takes back the one that waits", async () => {
    const bus = new Bus();
    probes(2, 10_000, bus.readText);
    startAll();
    await expect.poll(() => bus.begun.length).toBe(1);
    await sources[1]?.stop();
    const stopped = sources[0]?.stop();
    bus.release();
    await stopped;
    expect(bus.begun).toEqual([fileOf(0)]);
    for (const witness of witnesses) expect(witness.readings).toEqual([]);
  });

  test("that hang in the kernel, eight of them, leave the threads for other files free", async () => {
    for (let i = 0; i < 8; i += 1) {
      mkdirSync(join(sysRoot, "bus", "w1", "devices", deviceOf(i)), { recursive: true });
      execFileSync("mkfifo", [fileOf(i)]);
    }
    const page = join(sysRoot, "page.html");
    writeFileSync(page, "a page");
    probes(8, 40);
    const faults = witnesses.map((witness) => witness.nextFault("timed-out"));
    startAll();
    await Promise.all(faults);
    // Whoever opens a FIFO for reading is held until somebody writes: so would this be, were all threads held.
    expect(await readFile(page, "utf8")).toBe("a page");
    await Promise.all(sources.map((source) => source.stop()));
    writeFileSync(fileOf(0), GOOD);
  });
});
