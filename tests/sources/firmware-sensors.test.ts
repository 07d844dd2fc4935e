import { beforeAll, beforeEach, describe, expect, test } from "vitest";
import { crc8Maxim } from "../../station/sources/kernel-one-wire/crc8.js";
import { isWhole, pointsOf } from "./board/board-lines.js";
import { EmulatedBoard } from "./board/emulated-board.js";
import { buildFirmware, whyNotBuilt } from "./board/firmware-build.js";
import { crc8Sht } from "./board/humidity-sensor.js";

/**
 * The reference firmware (firmware-notes/sketch) as avr-gcc built it, in an emulated ATmega328P of 16 MHz with emulated sensors. Its
 * time is that of the emulated clock: nothing here looks at a watch. What comes out is read with the station's own decoder.
 */
const why = whyNotBuilt();
/** For a machine that is small or has much else to do. */
const PATIENCE_MS = 300_000;
/** Within a thousandth. */
const near = (value: number) =>
  expect.toSatisfy((other) => Math.abs(Number(other) / value - 1) <= 0.001, `${value} ± 0.1 %`);

describe.skipIf(why !== "")(`the firmware and its sensors${why}`, { timeout: PATIENCE_MS }, () => {
  let program: Uint16Array;
  let board: EmulatedBoard;
  /** What the station reads once a whole second has passed since the last change. */
  const next = () => {
    board.runToLine(isWhole);
    return pointsOf(board.runToLine(isWhole));
  };

  beforeAll(() => {
    program = buildFirmware();
    board = new EmulatedBoard(program);
  });
  beforeEach(() => {
    for (const probe of [board.coolantIn, board.coolantOut]) probe.mend();
    board.coolantIn.celsius = 18.25;
    board.coolantOut.celsius = 21.5;
    board.room.mend();
    board.room.measures(22.5, 45);
    board.pascals = 120;
    board.wires({ fan: true, flow: true });
    board.fanPerMinute = 1500;
    board.litresPerMinute = 4.2;
  });

  test("a probe that was never there is missing, with all else as it is", () => {
    board.coolantOut.isThere = false;
    board.room.isThere = false;
    const others = {
      duct: near(120),
      fan: near(1500),
      "coolant-flow": near(4.2),
      laser: 0,
      "coolant-in": 18.25,
    };
    const missing = { "coolant-out": "missing", "room-t": "missing", "room-rh": "missing" };
    expect(pointsOf(board.runToLine(isWhole))).toEqual({ ...others, ...missing });
    board.coolantOut.isThere = true;
    board.room.isThere = true;
    expect(next()).toEqual({ ...others, "coolant-out": 21.5, "room-t": 22.5, "room-rh": 45 });
  });

  // Data sheet of the DS18B20, table 1, "Temperature/Data Relationship"; from memory.
  test.each([
    [0x07d0, 125, 0x0191, 25.0625],
    [0x00a2, 10.125, 0x0008, 0.5],
    [0x0000, 0, 0xfff8, -0.5],
    [0xff5e, -10.125, 0xfe6f, -25.0625],
    [0xfc90, -55, 0x0550, 85],
  ])("a DS18B20 that says %i is at %f °C, one that says %i at %f °C", (first, celsius, second, other) => {
    board.coolantIn.raw = first;
    board.coolantOut.raw = second;
    expect(next()).toMatchObject({ "coolant-in": celsius, "coolant-out": other });
  });

  test("the checksum of the emulated probe is that of the published example", () => {
    // Maxim application note 27, from memory: 02 1C B8 01 00 00 00 and its CRC A2.
    expect(crc8Maxim([0x02, 0x1c, 0xb8, 0x01, 0x00, 0x00, 0x00])).toBe(0xa2);
  });

  test("torn out it is unplugged; back again it measures", () => {
    next();
    board.coolantIn.isThere = false;
    expect(next()).toMatchObject({ "coolant-in": "unplugged", "coolant-out": 21.5 });
    board.coolantIn.isThere = true;
    expect(next()).toMatchObject({ "coolant-in": 18.25 });
  });

  test("a wrong checksum, a shorted wire and a command that was not heard give no value", () => {
    board.coolantIn.crcIsSpoilt = true;
    board.coolantOut.short(true);
    expect(next()).toMatchObject({ "coolant-in": "crc-failed", "coolant-out": "all-zeros" });
    for (const probe of [board.coolantIn, board.coolantOut]) probe.mend();
    board.coolantIn.isDeafToConvert = true;
    expect(next()).toMatchObject({ "coolant-in": "read-error", "coolant-out": 21.5 });
    board.coolantIn.mend();
    expect(next()).toMatchObject({ "coolant-in": 18.25 });
  });

  test("85 °C after its supply failed is a power-on value; a true 85 °C is none", () => {
    board.coolantIn.losesSupply = true;
    board.coolantOut.celsius = 85;
    expect(next()).toMatchObject({ "coolant-in": "power-on-value", "coolant-out": 85 });
  });

  test("nothing that the board does on a 1-Wire is outside the probe's times", () => {
    expect([...board.coolantIn.violations, ...board.coolantOut.violations]).toEqual([]);
  });

  // Conversion: data sheet SHT3x-DIS, version 5, section 4.13.
  test.each([
    [0x0000, -45, 0xffff, 100],
    [0xffff, 130, 0x0000, 0],
    [0x8000, 42.5, 0x8000, 50],
  ])(
    "an SHT3x that says %i is at %f °C, and with %i at %f per cent",
    (temperature, celsius, humidity, percent) => {
      board.room.words = [temperature, humidity];
      expect(next()).toMatchObject({ "room-t": celsius, "room-rh": percent });
    },
  );

  test("its checksum is the published one, and each value falls with its own", () => {
    // Data sheet SHT3x-DIS, version 5, table 20: CRC (0xBEEF) = 0x92.
    expect(crc8Sht([0xbe, 0xef])).toBe(0x92);
    board.room.words = [0xbeef, 0xbeef];
    board.room.checksums = [0x92, 0x92];
    const celsius = Math.round((-45 + (175 * 0xbeef) / 0xffff) * 100) / 100;
    const percent = Math.round(((100 * 0xbeef) / 0xffff) * 100) / 100;
    expect(next()).toMatchObject({ "room-t": celsius, "room-rh": percent });
    board.room.checksums = [0x93, 0x92];
    expect(next()).toMatchObject({ "room-t": "crc-failed", "room-rh": percent });
    board.room.checksums = [0x92, 0x12];
    expect(next()).toMatchObject({ "room-t": celsius, "room-rh": "crc-failed" });
    expect(new Set(board.room.commands)).toEqual(new Set([0x2400]));
  });

  test("not acknowledged it is unplugged; a bus that is held low times out, and nothing else is held up by it", () => {
    next();
    board.room.isThere = false;
    expect(next()).toMatchObject({ "room-t": "unplugged", "room-rh": "unplugged" });
    board.room.isThere = true;
    board.room.holdLow(true);
    for (let second = 0; second < 3; second += 1) {
      expect(next()).toMatchObject({
        "room-t": "timed-out",
        "room-rh": "timed-out",
        "coolant-in": 18.25,
        fan: near(1500),
      });
    }
    board.room.mend();
    expect(next()).toMatchObject({ "room-t": 22.5, "room-rh": 45 });
    expect(board.watchdogResets).toBe(0);
  });

  test.each([
    [600, 0.4],
    [1234.5, 2.345],
    [2980, 11.2],
  ])("a fan at %f 1/min and a flow of %f L/min are measured to a thousandth", (perMinute, litres) => {
    board.fanPerMinute = perMinute;
    board.litresPerMinute = litres;
    expect(next()).toMatchObject({ fan: near(perMinute), "coolant-flow": near(litres) });
  });

  test("a rotor that stands is 0, a wire that is off is no value, and noise makes it doubtful", () => {
    board.fanPerMinute = 0;
    board.litresPerMinute = 0;
    next();
    expect(next()).toMatchObject({ fan: 0, "coolant-flow": 0 });
    board.wires({ fan: false, flow: false });
    expect(next()).toMatchObject({ fan: "wire-missing", "coolant-flow": "wire-missing" });
    board.wires({ fan: true, flow: true });
    board.fanPerMinute = 1500;
    board.litresPerMinute = 4.2;
    next();
    // Two spikes a tenth of a millisecond apart: one at least is too near to another edge to be the fan's.
    board.run(0.3);
    board.fan.spike();
    board.run(0.0001);
    board.fan.spike();
    expect(pointsOf(board.runToLine(isWhole)).fan).toMatch(/^\(\d+(\.\d)?\)$/);
    expect(next()).toMatchObject({ fan: near(1500), "coolant-flow": near(4.2) });
  });

  test("the duct's pressure goes by the ratio, to half a pascal; off the sensor's band there is none", () => {
    for (const pascals of [0, 50, 250, 499]) {
      board.pascals = pascals;
      expect(Math.abs(Number(next().duct) - pascals)).toBeLessThanOrEqual(0.7);
    }
    board.volts = 0;
    expect(next()).toMatchObject({ duct: "wire-missing" });
    board.volts = 5;
    expect(next()).toMatchObject({ duct: "out-of-valid-range" });
  });
});
