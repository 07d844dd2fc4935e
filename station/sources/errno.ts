import type { Reason } from "../model/reading.js";

/** The system's name of an error (`ENOENT`, `EIO`, …), or an empty string where it has none. */
export function errnoOf(error: unknown): string {
  if (typeof error === "object" && error !== null && "code" in error && typeof error.code === "string") {
    return error.code;
  }
  return "";
}

/** Text of any thrown thing, for the detail that people read. */
export function textOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

/**
 * What an error of the system means for a reading. ENODEV and ENXIO are what a driver says whose chip no longer answers
 * on its bus; only ENODEV says that the thing itself is gone.
 */
export function reasonOfErrno(error: unknown): Reason {
  switch (errnoOf(error)) {
    case "ENOENT":
    case "ENODEV":
    case "ENOTDIR":
      return "missing";
    case "EACCES":
    case "EPERM":
      return "no-permission";
    case "EBUSY":
      return "busy";
    case "ETIMEDOUT":
      return "timed-out";
    default:
      return "read-error";
  }
}
