/**
 * CRC-8/MAXIM-DOW of 1-Wire devices: polynomial x⁸+x⁵+x⁴+1, reflected (0x8C), initial value 0, no final inversion.
 * Over data followed by its own CRC it gives 0. Source: Maxim application note 27.
 */
export function crc8Maxim(bytes: Iterable<number>): number {
  let crc = 0;
  for (const byte of bytes) {
    crc ^= byte & 0xff;
    for (let bit = 0; bit < 8; bit += 1) crc = crc & 1 ? (crc >>> 1) ^ 0x8c : crc >>> 1;
  }
  return crc;
}
