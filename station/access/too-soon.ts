import { AppError, type ErrorCode } from "../errors.js";

/** Refused for now, and how long that lasts. */
export class TooSoon extends AppError {
  readonly waitMs: number;

  constructor(code: ErrorCode, detail: string, waitMs: number) {
    super(code, detail);
    this.waitMs = waitMs;
  }
}

/** "4 s", "3 min": rounded up. */
export function waitWords(waitMs: number): string {
  const seconds = Math.ceil(waitMs / 1000);
  return seconds < 120 ? `${seconds} s` : `${Math.ceil(seconds / 60)} min`;
}
