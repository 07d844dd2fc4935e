import { type ClockState, type ClockStep, type Instant, SAME_CLOCK_MS } from "./model/instant.js";

/** Tells when the wall clock has been set. Pure but for what it remembers. */
export interface ClockWatch {
  /** To be called at least once a second; a step that has been told is not told again. */
  look(now: Instant, state: ClockState): ClockStep | null;
  /** Wall less monotonic time as last told of, milliseconds: the same until the clock is set. */
  ahead(): number;
}

/**
 * On Linux the two clocks are slewed alike, so their difference only changes when the wall clock is set. What comes in small
 * portions all the same adds up, because it is measured against what was last told.
 */
export function createClockWatch(started: Instant, startedState: ClockState): ClockWatch {
  let ahead = started.wall - started.mono;
  let state = startedState;
  return {
    look(now, seen) {
      const moved = now.wall - now.mono - ahead;
      const shiftMs = Math.abs(moved) > SAME_CLOCK_MS ? moved : 0;
      if (shiftMs === 0 && seen === state) return null;
      const step = { at: now, shiftMs, before: state, after: seen };
      ahead += shiftMs;
      state = seen;
      return step;
    },
    ahead: () => ahead,
  };
}
