import { AppError } from "../../errors.js";

export interface PhotoLimits {
  /** Of the file as it is sent. */
  readonly bytes: number;
  /** Width times height, from the header, before anything is decoded. */
  readonly pixels: number;
  /** The same for a picture that must be in memory as a whole while it is decoded. */
  readonly wholePixels: number;
  /** A picture that takes longer to read is given up. */
  readonly seconds: number;
}

/** Cameras of phones make some 12 to 50 million pixels. */
export const PHOTO_LIMITS: PhotoLimits = { bytes: 12e6, pixels: 64e6, wholePixels: 25e6, seconds: 30 };

/** @param bytes of the file, or of what has come of it so far @throws AppError "photo-too-large" */
export function requireSize(bytes: number, { bytes: most }: PhotoLimits): void {
  if (bytes <= most) return;
  throw new AppError(
    "photo-too-large",
    `The file has more than ${most / 1e6} MB. Set the camera to a smaller picture, and take it again.`,
  );
}
