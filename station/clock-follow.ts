import type { SystemClock } from "./clock.js";
import { createClockWatch } from "./clock-watch.js";
import type { Log } from "./log.js";
import type { ClockState, ClockStep, Instant } from "./model/instant.js";
import { type HeldTimes, recallTimes } from "./recall.js";

export interface FollowParts extends HeldTimes {
  readonly clock: Pick<SystemClock, "state" | "askAgain">;
  readonly startedAt: Instant;
  readonly startedState: ClockState;
  /** Every time that is shown has to be shown anew. */
  readonly renewed: () => void;
  readonly failed: (error: unknown) => void;
  readonly log: Log;
}

export interface ClockFollower {
  /** Called at least once a second. */
  look(now: Instant): void;
  /** As `ClockWatch.ahead`. */
  ahead(): number;
}

/** Sees to it that the journal learns of a clock that was set, and the desks of the true times of what they hold. */
export function followClock(parts: FollowParts): ClockFollower {
  const { clock, journal, renewed, failed, log } = parts;
  const watch = createClockWatch(parts.startedAt, parts.startedState);

  async function stepped(step: ClockStep): Promise<void> {
    const { shiftMs, after: state } = step;
    log("info", "the wall clock was set, or what is known of it has changed", { shiftMs, state });
    // Whatever has set it may be a time source.
    if (state !== "synchronised") clock.askAgain();
    renewed();
    await journal.clockStepped(step);
    await recallTimes(parts);
    renewed();
  }

  return {
    look(now) {
      const step = watch.look(now, clock.state());
      if (step !== null) stepped(step).catch(failed);
    },
    ahead: () => watch.ahead(),
  };
}
