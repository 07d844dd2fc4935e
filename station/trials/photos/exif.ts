/** Of an Exif block (CIPA DC-008, tag numbers from memory): when the picture was taken, and nothing else. */

const EXIF_IFD = 0x8769;
const DATE_TIME_ORIGINAL = 0x9003;
const OFFSET_TIME_ORIGINAL = 0x9011;
const ENTRY_BYTES = 12;
const ASCII = 2;
const LONG = 4;

/**
 * When the camera says that it took the picture: ISO 8601, "2026-05-04T12:30:15", with "+02:00" or "Z" behind it where the camera
 * told its zone. Null where it says nothing, or nothing that could be a time; never throws.
 * @param block as metadata holds it, with or without "Exif\0\0" before it
 */
export function takenAt(block: Uint8Array): string | null {
  const bytes = Buffer.from(block.buffer, block.byteOffset, block.byteLength);
  const tiff = bytes.toString("latin1", 0, 6) === "Exif\0\0" ? bytes.subarray(6) : bytes;
  try {
    return timeIn(tiff);
  } catch (error) {
    // An offset that leads out of the block.
    if (error instanceof RangeError) return null;
    throw error;
  }
}

function timeIn(tiff: Buffer): string | null {
  const little = tiff.toString("latin1", 0, 2) === "II";
  const u16 = (at: number) => (little ? tiff.readUInt16LE(at) : tiff.readUInt16BE(at));
  const u32 = (at: number) => (little ? tiff.readUInt32LE(at) : tiff.readUInt32BE(at));
  if (u16(2) !== 42) return null;

  /** Where in a directory a tag's entry begins. */
  const entry = (directory: number, tag: number, type: number): number | null => {
    const count = u16(directory);
    for (let i = 0; i < count; i++) {
      const at = directory + 2 + i * ENTRY_BYTES;
      if (u16(at) === tag && u16(at + 2) === type) return at;
    }
    return null;
  };
  const text = (directory: number, tag: number): string => {
    const at = entry(directory, tag, ASCII);
    if (at === null) return "";
    const length = u32(at + 4);
    const from = length <= 4 ? at + 8 : u32(at + 8);
    return tiff.toString("latin1", from, from + length).replace(/\0.*$/s, "");
  };

  const pointer = entry(u32(4), EXIF_IFD, LONG);
  if (pointer === null) return null;
  const directory = u32(pointer + 8);
  const found = /^(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)$/.exec(text(directory, DATE_TIME_ORIGINAL).trim());
  if (found === null) return null;
  const [, year, month, day, time] = found;
  const local = `${year}-${month}-${day}T${time}`;
  if (!isTime(local)) return null;
  const zone = text(directory, OFFSET_TIME_ORIGINAL).trim();
  return /^([+-]\d\d:\d\d|Z)$/.test(zone) && !Number.isNaN(Date.parse(local + zone)) ? local + zone : local;
}

/** Date.parse takes the 30th of February for the 1st or 2nd of March. */
function isTime(local: string): boolean {
  const wall = Date.parse(`${local}Z`);
  return !Number.isNaN(wall) && new Date(wall).toISOString().startsWith(local);
}
