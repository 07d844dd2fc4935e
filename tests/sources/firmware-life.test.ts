import { beforeAll, beforeEach, describe, expect, test } from "vitest";
import { BoardDecoder } from "../../station/sources/serial/parse.js";
import { isWhole, pointsOf, sequenceOf } from "./board/board-lines.js";
import { BROWN_OUT, EXTERNAL, POWER_ON } from "./board/chip.js";
import { EmulatedBoard } from "./board/emulated-board.js";
import { buildFirmware, whyNotBuilt } from "./board/firmware-build.js";

/** As in firmware-sensors.test.ts: real firmware, emulated chip, emulated time. */
const why = whyNotBuilt();
/** For a machine that is small or has much else to do. */
const PATIENCE_MS = 300_000;
const NOW = { wall: 1_700_000_000_000, mono: 1_000_000 };
const bytesOf = (lines: readonly string[]) =>
  new TextEncoder().encode(lines.map((line) => `${line}\n`).join(""));
const resetOf = (line: string) => /"n":"reset","vs":"([a-z-]+)"/.exec(line)?.[1] ?? null;

describe.skipIf(why !== "")(
  `the firmware's lines, its contact and its watchdog${why}`,
  { timeout: PATIENCE_MS },
  () => {
    let program: Uint16Array;
    let board: EmulatedBoard;
    beforeAll(() => {
      program = buildFirmware();
    });
    beforeEach(() => {
      board = new EmulatedBoard(program);
    });

    test("a line a second, numbered, with the cause of the start in the first ten; nothing of it is dropped", () => {
      const moments: number[] = [];
      board.sent = (byte) => {
        if (byte === 0x0a) moments.push(board.seconds);
      };
      board.run(12.5);
      expect(board.lines.map(sequenceOf)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11]);
      expect(board.lines.map(resetOf)).toEqual([...Array(10).fill("power-on"), null, null]);
      // A start is within two seconds of a reset (serial-protocol.md); lines differ in length by some bytes of 87 µs.
      expect(moments[0]).toBeLessThan(2);
      for (const [i, moment] of moments.slice(1).entries())
        expect(Math.abs(moment - (moments[i] ?? 0) - 1)).toBeLessThan(0.005);
      const { frames, dropped, restarts } = new BoardDecoder().push(bytesOf(board.lines), NOW);
      expect({ frames, dropped, restarts }).toEqual({ frames: 12, dropped: {}, restarts: ["power-on"] });
    });

    test.each([
      [POWER_ON | BROWN_OUT, "power-on"],
      [BROWN_OUT, "brown-out"],
      [EXTERNAL, "external"],
      [0, "unknown"],
    ])("a start whose flags are %i is told as %s", (cause, word) => {
      board = new EmulatedBoard(program, cause);
      expect(resetOf(board.runToLine(isWhole))).toBe(word);
    });

    test("laser-on is told as soon as it has stood for ten milliseconds, and so is its end", () => {
      board.run(2.3);
      for (const lit of [true, false]) {
        const from = board.seconds;
        board.laser = lit;
        const line = board.runToLine(() => true);
        expect(pointsOf(line)).toEqual({ laser: lit ? 1 : 0 });
        // 10 ms to settle, 1 ms of the tick, and some 85 bytes at 87 µs with the cause of the start in them.
        expect(board.seconds - from).toBeGreaterThan(0.01);
        expect(board.seconds - from).toBeLessThan(0.02);
      }
      expect(pointsOf(board.runToLine(isWhole)).laser).toBe(0);
      expect(board.lines.map(sequenceOf)).toEqual(board.lines.map((_, i) => i));
    });

    test("a bounce of less than that is told by nobody", () => {
      board.run(2.3);
      const before = board.lines.length;
      for (let bounce = 0; bounce < 20; bounce += 1) {
        board.laser = bounce % 2 === 0;
        board.run(0.008);
      }
      expect(board.lines.length).toBe(before);
    });

    test("changes while a long line goes out are told after it, each, in their order", () => {
      board.runToLine(isWhole);
      // The next one begins to go out 950 ms into its second and takes some 35 ms.
      let isGoingOut = false;
      board.sent = () => {
        isGoingOut = true;
      };
      while (!isGoingOut) board.run(0.0005);
      for (const lit of [true, false, true]) {
        board.laser = lit;
        board.run(0.011);
      }
      board.run(0.05);
      const told = board.lines.slice(-4);
      expect(told.map(isWhole)).toEqual([true, false, false, false]);
      expect(told.map((line) => pointsOf(line).laser)).toEqual([0, 1, 0, 1]);
    });

    test("lit at the start it is so in the first line", () => {
      board.laser = true;
      board = new EmulatedBoard(program);
      board.laser = true;
      expect(pointsOf(board.runToLine(() => true)).laser).toBe(1);
    });

    test("a program that hangs is started again by the watchdog, and says so", () => {
      board.coolantIn.celsius = 18.25;
      board.run(12.5);
      const before = board.lines.length;
      board.hang();
      board.run(4);
      expect(board.watchdogResets).toBe(1);
      const [line = ""] = board.lines.slice(before);
      expect([resetOf(line), sequenceOf(line)]).toEqual(["watchdog", 0]);
      expect(pointsOf(line)["coolant-in"]).toBe(18.25);
      board.run(5);
      expect(board.watchdogResets).toBe(1);
      expect(new BoardDecoder().push(bytesOf(board.lines), NOW)).toMatchObject({
        dropped: {},
        restarts: ["power-on", "watchdog"],
      });
    });

    test("noise on the flow meter's wire that leaves the program no time ends in the watchdog, and not in a value", () => {
      board.litresPerMinute = 4.2;
      board.run(1.5);
      const before = board.lines.length;
      // Edges 6 µs apart: an interrupt takes longer.
      board.flow.hertz = 165_000;
      board.run(2.5);
      expect(board.watchdogResets).toBe(1);
      expect(
        board.lines.slice(before).filter((line) => typeof pointsOf(line)["coolant-flow"] === "number"),
      ).toEqual([]);
      board.litresPerMinute = 4.2;
      board.runToLine(isWhole);
      const line = board.runToLine(isWhole);
      expect(resetOf(line)).toBe("watchdog");
      expect(Number(pointsOf(line)["coolant-flow"])).toBeCloseTo(4.2, 2);
      // A program that never sleeps is the slowest to emulate.
    });

    test("bytes that are lost on the way cost their line, which is counted, and nothing else", () => {
      board.run(5.5);
      const bytes = [...bytesOf(board.lines)];
      const secondLine = bytes.indexOf(0x0a) + 1;
      bytes.splice(secondLine + 100, 7);
      const { frames, dropped, readings } = new BoardDecoder().push(Uint8Array.from(bytes), NOW);
      expect({ frames, dropped }).toEqual({ frames: 4, dropped: { "wrong-crc": 1, lost: 1 } });
      expect(readings.filter(({ point }) => point === "coolant-in")).toHaveLength(4);
    });
  },
);
