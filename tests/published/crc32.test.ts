import * as zlib from "node:zlib";
import fc from "fast-check";
import { expect, it } from "vitest";
import { crc32, crc32ByTable } from "../../station/journal/crc32.js";

// Source: catalogues of CRC parameters, CRC-32/ISO-HDLC: the check value over the digits "123456789" is CBF43926.
it.each([crc32, crc32ByTable])("CRC-32 gives its published check value", (crc) => {
  expect(crc(Buffer.from("123456789"))).toBe(0xcbf43926);
});

// Source: zlib, as Node has it, is the reference library.
it("the table gives what zlib gives, begun from anything", () => {
  fc.assert(
    fc.property(
      fc.uint8Array({ maxLength: 300 }),
      fc.integer({ min: 0, max: 0xffffffff }),
      (bytes, begin) => {
        expect(crc32ByTable(bytes, begin)).toBe(zlib.crc32(bytes, begin));
      },
    ),
  );
});
