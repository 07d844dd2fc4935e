import type { Reason } from "../../model/reading.js";
import { errnoOf, reasonOfErrno, textOf } from "../errno.js";

/** 1 is a high level at the pin, 0 a low one. */
export type Level = 0 | 1;

/** @param mono when the kernel saw the edge, monotonic milliseconds; null where it does not say */
export type EdgeSeen = (level: Level, mono: number | null) => void;

/** A line that was taken. Whatever it rejects with has the system's name of the error as `code`, where it has one. */
export interface GpioLine {
  read(): Promise<Level>;
  write(level: Level): Promise<void>;
  watch(seen: EdgeSeen): void;
  /** Gives the line back to the kernel. */
  close(): void;
}

export type GpioDirection = "in" | "high" | "low";
export type GpioEdge = "none" | "rising" | "both";

/** The resistor inside the chip: to the supply, to ground, or none. */
export const BIASES = ["pull-up", "pull-down", "none"] as const;
export type Bias = (typeof BIASES)[number];

export interface LineEntry {
  /** Part of the chip's label. */
  readonly chip?: string | undefined;
  /** The line's number on its chip, or its name. */
  readonly line: number | string;
  /** As the line was found where it is left out. */
  readonly bias?: Bias | undefined;
}

export interface LineTrouble {
  readonly reason: Reason;
  readonly detail: string;
  readonly mend: string;
}

export interface FoundLine {
  readonly ok: true;
  /** The chip and the line on it, in words. */
  readonly where: string;
  /**
   * The level of a line that is in use, null where nobody can read it meanwhile. Undefined where it is free. A line that is
   * in use is not taken for a check: that would take it from a station that is running now.
   */
  inUse(): Promise<{ readonly by: string; readonly level: Level | null } | undefined>;
  /** Takes the line. Rejects with the system's error where it cannot be had. */
  take(direction: GpioDirection, edge: GpioEdge): Promise<GpioLine>;
}

export type LineSearch = FoundLine | ({ readonly ok: false } & LineTrouble);

/** One of the ways to lines that kernels have. */
export interface LineAccess {
  /** Above this rate pulses are known to be lost; a second. */
  readonly reliableHz: number;
  /** Which way it is and why, in words. */
  readonly why: string;
  find(entry: LineEntry): Promise<LineSearch>;
}

/** Words for a line that could not be had, or was lost. The kernel says EINVAL of a number that no chip has. */
export function troubleOfLine(error: unknown): LineTrouble {
  const code = errnoOf(error);
  const reason = code === "EINVAL" || code === "ENXIO" ? "missing" : reasonOfErrno(error);
  switch (reason) {
    case "busy":
      return {
        reason,
        detail: "the line is taken: a driver of the kernel or another program holds it",
        mend: "see gpioinfo, or /sys/kernel/debug/gpio, for who holds it; free it, or wire to another line",
      };
    case "missing":
      return {
        reason,
        detail: `the line is not there (${textOf(error)})`,
        mend: "check chip and line in station.yaml",
      };
    case "no-permission":
      return {
        reason,
        detail: "the station's user may not use the line",
        mend: "sudo usermod -aG gpio USER for the station's user, then sign in again",
      };
    default:
      return { reason, detail: textOf(error), mend: "check the wiring, and restart the Pi" };
  }
}
