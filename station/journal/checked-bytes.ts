import { DamagedBytes } from "./byte-stream.js";
import { crc32 } from "./crc32.js";

/** What the bytes are of: goes into their checksum, so that some in the place of others are found as well. */
export interface BytesName {
  readonly channel: number;
  /** The id of the first row of the group of stretches, or the place of the first rollup of a page. */
  readonly first: number;
}

const CRC_BYTES = 4;
const TWO_TO_32 = 2 ** 32;
/** Odd, so that each is undone by another and no two channels fold to the same. */
const FOLD_CHANNEL = 0x9e3779b1;
const FOLD_HIGH = 0x85ebca6b;
/** By the first byte. A format that has been released is never given another meaning. */
export const FORMATS = { block: 1, minutes: 2, page: 3 } as const;

/** A format byte, the body, and a CRC-32 of both and the name. */
export function withChecksum(name: BytesName, format: number, body: Uint8Array): Uint8Array {
  const bytes = new Uint8Array(1 + body.length + CRC_BYTES);
  bytes[0] = format;
  bytes.set(body, 1);
  new DataView(bytes.buffer).setUint32(1 + body.length, checksum(name, bytes), true);
  return bytes;
}

/** @throws DamagedBytes where the format or the checksum is another */
export function checkedBody(name: BytesName, format: number, bytes: Uint8Array): Uint8Array {
  // In a damaged row there may be anything in their place, or nothing.
  if (!(bytes instanceof Uint8Array) || bytes[0] !== format || bytes.length < 1 + CRC_BYTES) {
    throw new DamagedBytes("The bytes are of another format.");
  }
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (view.getUint32(bytes.length - CRC_BYTES, true) !== checksum(name, bytes)) {
    throw new DamagedBytes("The checksum is wrong.");
  }
  return bytes.subarray(1, bytes.length - CRC_BYTES);
}

/** Of everything but the checksum's own bytes, begun from a number that the name is folded into. */
function checksum({ channel, first }: BytesName, bytes: Uint8Array): number {
  const high = Math.floor(first / TWO_TO_32);
  const begin = Math.imul(channel, FOLD_CHANNEL) ^ Math.imul(high, FOLD_HIGH) ^ first;
  return crc32(bytes.subarray(0, bytes.length - CRC_BYTES), begin >>> 0);
}
