import { SerialPort } from "serialport";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import type { Source } from "../../station/model/source.js";
import { createSerial } from "../../station/sources/serial/device.js";
import { serialEntrySchema } from "../../station/sources/serial/entry.js";
import { sealFrame } from "../../station/sources/serial/frame.js";
import { TerminalPair } from "./terminal-pair.js";
import { realClock, Witness } from "./witness.js";

const frame = (celsius: number, sequence: number) =>
  sealFrame(
    JSON.stringify([
      { n: "coolant-in", u: "Cel", v: celsius },
      { n: "seq", v: sequence },
    ]),
  );

let pair: TerminalPair;
let source: Source;
let witness: Witness;

function create(silentAfterMs = 30_000): Source {
  const entry = serialEntrySchema.parse({ id: "board", driver: "serial", path: pair.path });
  return createSerial(entry, {
    clock: realClock,
    times: { silentAfterMs, firstBackOffMs: 20, longestBackOffMs: 40 },
  });
}

beforeEach(async () => {
  pair = new TerminalPair();
  witness = new Witness();
  source = create();
});

afterEach(async () => {
  await source.stop();
  await pair.remove();
});

const becomes = (state: string) => witness.nextStatus((status) => status.state === state);

async function openAndHear(): Promise<void> {
  await pair.plugIn();
  const open = becomes("open");
  source.start(witness);
  await open;
  const value = witness.nextValue("coolant-in");
  pair.send(frame(18.5, 1));
  expect(await value).toBe(18.5);
}

describe("a board on a real terminal", () => {
  test("is read, and its port is locked and then given back", async () => {
    await openAndHear();
    expect(source.status()).toMatchObject({ state: "open", reason: null, accepted: 1, dropped: {} });
    const second = new SerialPort({ path: pair.path, baudRate: 115_200, autoOpen: false });
    const refused = await new Promise<Error | null>((resolve) => second.open(resolve));
    expect(refused?.message).toMatch(/lock/);
    await source.stop();
    const third = new SerialPort({ path: pair.path, baudRate: 115_200, autoOpen: false });
    expect(await new Promise<Error | null>((resolve) => third.open(resolve))).toBeNull();
    await new Promise((resolve) => third.close(resolve));
  });

  test("missing: it is said, and tried again with growing pauses", async () => {
    const first = becomes("backing-off");
    source.start(witness);
    expect(await first).toMatchObject({ reason: "missing", detail: expect.stringContaining("plugged in") });
    await becomes("opening");
    await becomes("backing-off");
  });

  test("held by another program: it has its own words", async () => {
    await pair.plugIn();
    const other = new SerialPort({ path: pair.path, baudRate: 115_200, autoOpen: false });
    await new Promise<void>((resolve, reject) =>
      other.open((error) => (error === null ? resolve() : reject(error))),
    );
    const held = becomes("backing-off");
    source.start(witness);
    expect(await held).toMatchObject({ reason: "busy", detail: expect.stringContaining("another program") });
    const open = becomes("open");
    await new Promise((resolve) => other.close(resolve));
    await open;
  });

  test("unplugged while open: its points go bad at once; recovered: it is read again", async () => {
    await openAndHear();
    const fault = witness.nextFault("unplugged");
    await pair.pullOut();
    expect(await fault).toMatchObject({ source: "board", point: "coolant-in" });
    await witness.nextFault("missing");
    const open = becomes("open");
    await pair.plugIn();
    expect(await open).toMatchObject({ reason: "missing" });
    const value = witness.nextValue("coolant-in");
    pair.send(frame(19, 1));
    expect(await value).toBe(19);
    expect(source.status()).toMatchObject({ state: "open", reason: null, detail: null });
  });

  test("unplugged between two reads, when a terminal answers 0 bytes for ever: it is noticed all the same", async () => {
    for (let round = 0; round < 10; round += 1) {
      await openAndHear();
      const fault = witness.nextFault("unplugged");
      // Closing the board's end in the turn in which its frame arrived lets the hang-up come before the next read.
      await pair.pullOut();
      await fault;
      await source.stop();
      source = create();
    }
  });

  test("silent: an open port that says nothing is noticed, opened anew, and recovers", async () => {
    source = create(150);
    await openAndHear();
    const fault = witness.nextFault("silent");
    const backingOff = becomes("backing-off");
    expect(await fault).toMatchObject({ point: "coolant-in" });
    expect(await backingOff).toMatchObject({ reason: "silent" });
    await becomes("open");
    const value = witness.nextValue("coolant-in");
    pair.send(frame(20, 1));
    expect(await value).toBe(20);
  });

  test("garbage: each kind is counted under its own name, and the good frames among it are read", async () => {
    await openAndHear();
    const value = witness.nextReading((raw) => "value" in raw && raw.value === 21);
    pair.send("half a li\n");
    pair.send(`${frame(1, 2).slice(0, -6)}*0000\n`);
    pair.send(`${"x".repeat(5000)}\n`);
    pair.send(sealFrame("not JSON"));
    pair.send(sealFrame('[{"n":"a","v":1,"must_":1}]'));
    pair.send(sealFrame('[{"n":"b","u":"lm","v":1}]'));
    pair.send(new Uint8Array([0xff, 0xfe, 0x00, 0x0a]));
    pair.send(frame(21, 5));
    await value;
    expect(source.status().dropped).toEqual({
      torn: 2,
      "wrong-crc": 1,
      overlong: 1,
      unparsable: 1,
      "not-senml": 1,
      "unknown-unit": 1,
      lost: 3,
    });
  });

  test("nothing but garbage: silent, with words that point at the baud rate", async () => {
    source = create(150);
    await openAndHear();
    const silent = becomes("silent");
    pair.send("@@@@\n");
    expect(await silent).toMatchObject({ reason: "garbled", detail: expect.stringContaining("baud") });
  });

  test("check: there, and not there", async () => {
    const [missing] = await source.check();
    expect(missing).toMatchObject({ ok: false, found: expect.stringContaining("not there") });
    await pair.plugIn();
    const [there] = await source.check();
    expect(there).toMatchObject({ ok: true, mend: "" });
  });
});
