/**
 * A moment as the station knows it. `wall` can jump when the clock is set; `mono` never does within one boot,
 * so every duration in the station is a difference of `mono`.
 */
export interface Instant {
  /** UTC, milliseconds since 1970-01-01. */
  readonly wall: number;
  /** Milliseconds since this machine booted (CLOCK_MONOTONIC). Comparable only within one `bootId`. */
  readonly mono: number;
}

/** Whether the wall clock had been set from a time source when it was read. */
export type ClockState = "synchronised" | "not synchronised" | "unknown";

/** Where the pure rooms and the drivers get the time from; passed in, so that a test can hold it. */
export interface Clock {
  now(): Instant;
  readonly bootId: string;
  state(): ClockState;
}

/** The wall clock was set, or became known to be set or not to be. */
export interface ClockStep {
  /** As the clock shows it afterwards. */
  readonly at: Instant;
  /** How far it was set, milliseconds: above 0 forward, 0 where only what is known of it changed. */
  readonly shiftMs: number;
  readonly before: ClockState;
  readonly after: ClockState;
}

/** By how much two readings of one clock may differ against the monotonic one and still count as the same; milliseconds. */
export const SAME_CLOCK_MS = 500;
