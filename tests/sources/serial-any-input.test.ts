import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { UNITS } from "../../station/model/quantity.js";
import { REASONS } from "../../station/model/reading.js";
import { LineSplitter, MAX_LINE_BYTES, openFrame, sealFrame } from "../../station/sources/serial/frame.js";
import { BoardDecoder, DROPS, MAX_POINTS } from "../../station/sources/serial/parse.js";
import { resolvePack } from "../../station/sources/serial/senml.js";

const NOW = { wall: 1_700_000_000_000, mono: 1_000_000 };
describe("serial: all bytes give readings or a counted reason", () => {
  /** Bytes as they come: noise, halves, and whole frames of any JSON. */
  const piece = fc.oneof(
    fc.uint8Array({ maxLength: 200 }),
    fc.json().map((text) => new TextEncoder().encode(sealFrame(text))),
    fc
      .array(
        fc.record(
          {
            n: fc.string({ maxLength: 12 }),
            bn: fc.constantFrom("", "board:", "é"),
            u: fc.constantFrom("Cel", "K", "%RH", "lm", "/", "m3/s"),
            v: fc.double(),
            vb: fc.boolean(),
            vs: fc.constantFrom("fault:silent", "fault:no such", "fault:__proto__", "doubtful", "hello"),
            t: fc.double({ noNaN: true }),
            bver: fc.integer(),
          },
          { requiredKeys: [] },
        ),
        { maxLength: 5 },
      )
      .map((pack) => new TextEncoder().encode(sealFrame(JSON.stringify(pack)))),
    fc.constant(new TextEncoder().encode("\r\n")),
  );

  test("no throw, no reading without sense, nothing held beyond a line and its points", () => {
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 30 }), (pieces) => {
        const decoder = new BoardDecoder();
        for (const bytes of pieces) {
          const { readings, dropped } = decoder.push(bytes, NOW);
          for (const [why, count] of Object.entries(dropped)) {
            expect(DROPS).toContain(why);
            expect(count).toBeGreaterThan(0);
          }
          for (const reading of readings) {
            expect(reading.point).toMatch(/^[A-Za-z0-9][A-Za-z0-9\-:./_]{0,79}$/);
            expect(reading.at.mono).toBeLessThanOrEqual(NOW.mono);
            if ("fault" in reading) expect(REASONS[reading.fault].quality).toBe("bad");
            else {
              expect(Number.isFinite(reading.value)).toBe(true);
              expect(Object.keys(UNITS)).toContain(reading.unit);
            }
          }
          expect(decoder.points.length).toBeLessThanOrEqual(MAX_POINTS);
        }
      }),
    );
  });

  test("how the bytes are cut makes no difference", () => {
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 10 }), fc.integer({ min: 1, max: 50 }), (pieces, size) => {
        const stream = Uint8Array.from(pieces.flatMap((bytes) => [...bytes]));
        const whole = new BoardDecoder().push(stream, NOW);
        const decoder = new BoardDecoder();
        const parts = [];
        for (let at = 0; at < stream.length; at += size)
          parts.push(decoder.push(stream.subarray(at, at + size), NOW));
        expect(parts.flatMap(({ readings }) => readings)).toEqual(whole.readings);
        expect(parts.reduce((sum, { frames }) => sum + frames, 0)).toBe(whole.frames);
      }),
    );
  });

  test("a splitter holds no more than a line, however long the noise", () => {
    const splitter = new LineSplitter();
    for (let i = 0; i < 100; i += 1) {
      expect(splitter.push(new Uint8Array(1000).fill(0x41))).toEqual([]);
      expect(splitter.heldBytes).toBeLessThanOrEqual(MAX_LINE_BYTES);
    }
    expect(splitter.push(Uint8Array.of(0x0a, 0x42, 0x0a))).toEqual([null, Uint8Array.of(0x42)]);
  });

  test("a line of exactly the longest length is still taken", () => {
    const text = `["${"x".repeat(MAX_LINE_BYTES - 5 - 4)}"]`;
    const line = new LineSplitter().push(new TextEncoder().encode(sealFrame(text)))[0];
    expect(line).toHaveLength(MAX_LINE_BYTES);
    expect(openFrame(line ?? new Uint8Array())).toEqual({ ok: true, text });
  });

  test("a sealed frame opens to what was sealed, and with any one byte changed it does not", () => {
    fc.assert(
      fc.property(fc.json(), fc.nat(), fc.integer({ min: 1, max: 255 }), (text, where, change) => {
        const bytes = new TextEncoder().encode(sealFrame(text)).slice(0, -1);
        expect(openFrame(bytes)).toEqual({ ok: true, text });
        const body = bytes.length - 5;
        const at = where % body;
        bytes[at] = (bytes[at] ?? 0) ^ change;
        expect(openFrame(bytes)).toEqual({ ok: false, why: "wrong-crc" });
      }),
    );
  });

  test("SenML: every JSON is a Pack or is refused", () => {
    fc.assert(
      fc.property(fc.oneof(fc.jsonValue(), fc.array(fc.dictionary(fc.string(), fc.jsonValue()))), (json) => {
        const answer = resolvePack(json);
        if (!answer.ok) expect(answer.detail).not.toBe("");
      }),
    );
  });
});
