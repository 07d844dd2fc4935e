import { createHash } from "node:crypto";
import sharp, { type Metadata } from "sharp";
import { AppError } from "../../errors.js";
import { contentOf } from "./content.js";
import { takenAt } from "./exif.js";
import { PHOTO_LIMITS, type PhotoLimits, requireSize } from "./limits.js";

/** A station has little memory, and takes one picture after another: nothing is gained by keeping what was decoded. */
sharp.cache(false);
sharp.concurrency(1);

/** Refuses what is cut off or cannot be decoded. A camera's small faults are warnings only, and its pictures are whole. */
const failOn = "error";

/** Longer side of what is kept, and of its small copy for lists, pixels. */
export const LONG_SIDE = 2048;
const SMALL_SIDE = 256;
/** Of JPEG, 1 to 100: what is kept is measured as well as looked at. */
const QUALITY = 90;
const SMALL_QUALITY = 80;

export interface AcceptedPhoto {
  /** Re-encoded: upright, sRGB, on white where it let something through, and without any metadata. */
  readonly jpeg: Buffer;
  readonly thumbnail: Buffer;
  /** Of `jpeg`, pixels. */
  readonly width: number;
  readonly height: number;
  /** What the camera wrote: ISO 8601, local time without a zone where the camera told none; null where it wrote nothing. */
  readonly takenAt: string | null;
  /** Of `jpeg`, 64 hexadecimal digits in small letters. */
  readonly sha256: string;
}

/**
 * Looks at what somebody sent, and makes of it a picture that can be kept and shown. Of a moving picture it is the first one.
 * Nothing of the file itself is kept: neither the place in its Exif block, nor what may stand behind the picture.
 * To be called for one picture at a time, and not in the station's own process: decoders of pictures have had faults.
 * @throws AppError "photo-type", "photo-too-large", "photo-unreadable"
 */
export async function acceptPhoto(
  bytes: Uint8Array,
  limits: PhotoLimits = PHOTO_LIMITS,
): Promise<AcceptedPhoto> {
  requireSize(bytes.byteLength, limits);
  const content = contentOf(bytes);
  if ("refused" in content) throw new AppError("photo-type", content.refused);
  const { seconds } = limits;
  try {
    const header = await sharp(bytes, { failOn, limitInputPixels: false }).metadata();
    requirePixels(header, limits);
    const { data, info } = await sharp(bytes, {
      failOn,
      limitInputPixels: limits.pixels,
      sequentialRead: true,
    })
      .timeout({ seconds })
      .autoOrient()
      .resize({ width: LONG_SIDE, height: LONG_SIDE, fit: "inside", withoutEnlargement: true })
      .flatten({ background: "white" })
      .toColourspace("srgb")
      .jpeg({ quality: QUALITY })
      .toBuffer({ resolveWithObject: true });
    const thumbnail = await sharp(data)
      .resize({ width: SMALL_SIDE, height: SMALL_SIDE, fit: "inside", withoutEnlargement: true })
      .jpeg({ quality: SMALL_QUALITY })
      .toBuffer();
    return {
      jpeg: data,
      thumbnail,
      width: info.width,
      height: info.height,
      takenAt: header.exif === undefined ? null : takenAt(header.exif),
      sha256: createHash("sha256").update(data).digest("hex"),
    };
  } catch (error) {
    throw error instanceof AppError ? error : unreadable(error, limits);
  }
}

/** A file of a few kilobytes can say that it holds thousands of millions of pixels: that is read before they are. */
function requirePixels(header: Metadata, { pixels, wholePixels }: PhotoLimits): void {
  const { width, height, format, isProgressive } = header;
  // These cannot be read line by line: of each, all of it is in memory at once.
  const whole = isProgressive === true || format === "webp";
  const most = whole ? wholePixels : pixels;
  if (width * height <= most) return;
  const kind = whole ? ", of this kind of file (WebP, progressive JPEG, interlaced PNG)" : "";
  throw new AppError(
    "photo-too-large",
    `The picture has ${width} × ${height} pixels. Up to ${most / 1e6} million are taken${kind}. Set the camera to a smaller picture, and take it again.`,
  );
}

function unreadable(error: unknown, { seconds }: PhotoLimits): AppError {
  const why = error instanceof Error ? error.message : String(error);
  if (why.includes("timeout")) {
    return new AppError(
      "photo-unreadable",
      `It took longer than ${seconds} s to read. Take the photo again, smaller.`,
    );
  }
  return new AppError(
    "photo-unreadable",
    `The picture is damaged, or was cut off on the way (${firstLine(why)}). Send it again, or take it again.`,
  );
}

function firstLine(text: string): string {
  return text.trim().split("\n", 1)[0]?.slice(0, 120) ?? "";
}
