import type { KeptClockStep, KeptSession, LoggedSettingChange } from "./journal/reader-calls.js";

/** What the journal knows of its clocks. */
export interface ClockHistory {
  /** Oldest first, as `steps`. */
  readonly sessions: readonly KeptSession[];
  readonly steps: readonly KeptClockStep[];
}

/**
 * When a setting was changed, by a clock that was right: where it had not been set, the first moment after which the change
 * is known to have been there. A Pi without a battery clock may begin years ago, and a rule dated by that would seem to have
 * stood for as long.
 * @returns wall milliseconds; null where no clock has been right since
 */
export function changedWall(
  { session, at }: Pick<LoggedSettingChange, "session" | "at">,
  { sessions, steps }: ClockHistory,
): number | null {
  const own = sessions.find((each) => each.session === session);
  // Nothing is known of its clock.
  if (own === undefined) return at.wall;
  const stepsOf = (wanted: number) => steps.filter((each) => each.session === wanted).map(({ step }) => step);
  const state = stepsOf(session).findLast((step) => step.at.mono <= at.mono)?.after ?? own.clock;
  if (state === "synchronised") return at.wall;
  for (const later of sessions.filter((each) => each.session >= session)) {
    const sameBoot = later.bootId === own.bootId;
    if (later.session !== session && later.clock === "synchronised") {
      return sameBoot ? later.at.wall - (later.at.mono - at.mono) : later.at.wall;
    }
    const set = stepsOf(later.session).find(
      (step) => step.after === "synchronised" && (!sameBoot || step.at.mono > at.mono),
    );
    // Within a boot the journal has placed the change by then, which the monotonic clock says as well.
    if (set !== undefined) return sameBoot ? set.at.wall - (set.at.mono - at.mono) : set.at.wall;
  }
  return null;
}
