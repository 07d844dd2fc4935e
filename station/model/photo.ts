/** A photo that is kept: its files are found by the sum. */
export interface PhotoRow {
  readonly entry: string;
  /** SHA-256 of the kept picture, 64 hexadecimal digits. */
  readonly sha256: string;
  readonly width: number;
  readonly height: number;
  readonly bytes: number;
  /** When it came in. */
  readonly wall: number;
  /** What was written under it. */
  readonly note: string;
}
