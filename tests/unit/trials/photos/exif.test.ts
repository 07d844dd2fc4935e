import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { takenAt } from "../../../../station/trials/photos/exif.js";

/** An Exif block with one pointer and the two times, laid out by hand after TIFF 6.0. */
function block(time: string, zone: string | null, big = false): Buffer {
  const bytes = Buffer.alloc(200);
  const u16 = (value: number, at: number) =>
    big ? bytes.writeUInt16BE(value, at) : bytes.writeUInt16LE(value, at);
  const u32 = (value: number, at: number) =>
    big ? bytes.writeUInt32BE(value, at) : bytes.writeUInt32LE(value, at);
  const entry = (at: number, tag: number, type: number, count: number, value: number) => {
    u16(tag, at);
    u16(type, at + 2);
    u32(count, at + 4);
    u32(value, at + 8);
  };
  bytes.write(big ? "MM" : "II", 0, "latin1");
  u16(42, 2);
  u32(8, 4);
  u16(1, 8);
  entry(10, 0x8769, 4, 1, 30);
  u16(zone === null ? 1 : 2, 30);
  entry(32, 0x9003, 2, time.length + 1, 80);
  bytes.write(`${time}\0`, 80, "latin1");
  if (zone !== null) {
    // What has up to four bytes stands in the entry itself.
    entry(44, 0x9011, 2, zone.length + 1, 120);
    bytes.write(`${zone}\0`, zone.length < 4 ? 52 : 120, "latin1");
  }
  return bytes;
}

describe("when a picture was taken", () => {
  it("as the camera wrote it, with its zone or without, in either order of bytes", () => {
    expect(takenAt(block("2026:05:04 12:30:15", "+02:00"))).toBe("2026-05-04T12:30:15+02:00");
    expect(takenAt(block("2026:05:04 12:30:15", null, true))).toBe("2026-05-04T12:30:15");
    expect(takenAt(Buffer.concat([Buffer.from("Exif\0\0"), block("2026:05:04 12:30:15", "Z")]))).toBe(
      "2026-05-04T12:30:15Z",
    );
  });

  it("not where it wrote no time, or none that there is", () => {
    for (const time of [
      "    :  :     :  :  ",
      "0000:00:00 00:00:00",
      "2026:02:30 12:00:00",
      "2026:05:04 25:00:00",
      "<b>",
    ]) {
      expect(takenAt(block(time, null)), time).toBeNull();
    }
    expect(takenAt(block("2026:05:04 12:30:15", "2 hours"))).toBe("2026-05-04T12:30:15");
  });

  it("says null, and never fails, whatever the bytes are", () => {
    const whole = block("2026:05:04 12:30:15", "+02:00");
    for (let length = 0; length < 120; length++) takenAt(whole.subarray(0, length));
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.nat(199), fc.nat(255)), { maxLength: 8 }), (changes) => {
        const changed = Buffer.from(whole);
        for (const [at, value] of changes) changed[at] = value;
        const found = takenAt(changed);
        expect(found === null || !Number.isNaN(Date.parse(found))).toBe(true);
      }),
    );
  });
});
