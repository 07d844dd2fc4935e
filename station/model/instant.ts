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
