import type { LightnessAsked, MeasuredAreas } from "../../model/lightness.js";
import type { PhotoLimits } from "./limits.js";

/** A photo that is on the disk. */
export interface KeptPhoto {
  /** Of what is kept, 64 hexadecimal digits. */
  readonly sha256: string;
  readonly bytes: number;
  /** Pixels. */
  readonly width: number;
  readonly height: number;
  /** ISO 8601, local time without a zone where the camera told none; null where it wrote nothing. */
  readonly takenAt: string | null;
}

export interface KeepRequest {
  /** What somebody sent, in a file. */
  readonly file: string;
  /** Folder of the photos. */
  readonly folder: string;
  readonly reserveBytes: number;
  readonly limits: PhotoLimits;
}

export interface LightnessRequest {
  /** A photo that is kept. */
  readonly file: string;
  readonly asked: LightnessAsked;
}

/** What the process that reads pictures does. */
export interface PictureCalls {
  keep: { params: KeepRequest; result: KeptPhoto };
  lightness: { params: LightnessRequest; result: MeasuredAreas };
}
