import { crc32, deflateSync } from "node:zlib";
import sharp, { type Sharp } from "sharp";

/** A picture with something in it: a red upper left quarter, and a gradient elsewhere. */
export function drawing(width: number, height: number): Sharp {
  const pixels = Buffer.alloc(width * height * 3);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = (y * width + x) * 3;
      const red = x < width / 2 && y < height / 2;
      pixels[at] = red ? 230 : Math.round((x / width) * 200);
      pixels[at + 1] = red ? 20 : Math.round((y / height) * 200);
      pixels[at + 2] = red ? 20 : 128;
    }
  }
  return sharp(pixels, { raw: { width, height, channels: 3 } });
}

/** As a phone has it: lying on its side, with the place and the time in it. */
export function fromPhone(): Promise<Buffer> {
  return drawing(400, 300)
    .withExif({
      IFD0: { Make: "Lantern", Orientation: "6" },
      IFD2: { DateTimeOriginal: "2026:05:04 12:30:15", OffsetTimeOriginal: "+02:00" },
      IFD3: {
        GPSLatitudeRef: "N",
        GPSLatitude: "48/1 12/1 30/1",
        GPSLongitudeRef: "E",
        GPSLongitude: "11/1 6/1 0/1",
      },
    })
    .withMetadata({ orientation: 6 })
    .jpeg()
    .toBuffer();
}

/** A PNG that says it has so many pixels, and has the first bytes of them only. */
export function pngOfSize(width: number, height: number): Buffer {
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.set([8, 2, 0, 0, 0], 8);
  return Buffer.concat([
    Buffer.from("\x89PNG\r\n\x1a\n", "latin1"),
    chunk("IHDR", header),
    chunk("IDAT", deflateSync(Buffer.alloc(1_000_000))),
    chunk("IEND", Buffer.alloc(0)),
  ]);
}

function chunk(type: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(type, "latin1"), data]);
  const length = Buffer.alloc(4);
  length.writeUInt32BE(data.length);
  const check = Buffer.alloc(4);
  check.writeUInt32BE(crc32(body));
  return Buffer.concat([length, body, check]);
}

/** A whole JPEG whose frame header (SOF0) has been made to claim another size. */
export function jpegClaiming(jpeg: Buffer, width: number, height: number): Buffer {
  const claiming = Buffer.from(jpeg);
  const frame = segmentsOf(claiming).find(({ marker }) => marker === 0xc0);
  if (frame === undefined) throw new Error("The JPEG has no baseline frame header.");
  claiming.writeUInt16BE(height, frame.at + 5);
  claiming.writeUInt16BE(width, frame.at + 7);
  return claiming;
}

/** The marker segments of a JPEG before its pixels: ITU-T T.81, annex B. */
export function segmentsOf(jpeg: Buffer): { marker: number; at: number }[] {
  const segments: { marker: number; at: number }[] = [];
  for (let at = 2; jpeg[at] === 0xff; at += 2 + jpeg.readUInt16BE(at + 2)) {
    const marker = jpeg[at + 1] as number;
    segments.push({ marker, at });
    if (marker === 0xda) break;
  }
  return segments;
}
