/**
 * CRC-16/CCITT-FALSE: polynomial 0x1021, initial value 0xFFFF, not reflected, no final inversion. Its check value over
 * the nine digits "123456789" is 0x29B1 (catalogues of CRC parameters).
 */
export function crc16CcittFalse(bytes: Iterable<number>): number {
  let crc = 0xffff;
  for (const byte of bytes) {
    crc ^= (byte & 0xff) << 8;
    for (let bit = 0; bit < 8; bit += 1) {
      crc = crc & 0x8000 ? ((crc << 1) ^ 0x1021) & 0xffff : (crc << 1) & 0xffff;
    }
  }
  return crc;
}
