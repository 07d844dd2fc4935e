import * as zlib from "node:zlib";

const TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let crc = byte;
  for (let bit = 0; bit < 8; bit += 1) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  return crc >>> 0;
});

/**
 * CRC-32 of ISO 3309 and RFC 1952, section 8: polynomial 0xEDB88320 reflected, begun and ended with all bits turned.
 * @param begin the CRC of what came before, or a number to begin from, 0 to 2³² − 1
 */
export function crc32ByTable(bytes: Uint8Array, begin = 0): number {
  let crc = ~begin >>> 0;
  for (const byte of bytes) crc = (TABLE[(crc ^ byte) & 0xff] ?? 0) ^ (crc >>> 8);
  return ~crc >>> 0;
}

/** Node has one of its own from 20.15 on, and a faster one; before that, the table. */
export const crc32: (bytes: Uint8Array, begin?: number) => number =
  "crc32" in zlib ? (bytes, begin = 0) => zlib.crc32(bytes, begin) : crc32ByTable;
