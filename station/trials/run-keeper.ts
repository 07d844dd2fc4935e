import type { Instant } from "../model/instant.js";
import type { Reading } from "../model/reading.js";
import type { RunCause } from "../model/run.js";

/** What the keeper decided. `mark` remembers a moment at which the run may turn out to have ended; `unmark` drops it. */
export type RunStep =
  | { readonly step: "begin"; readonly at: Instant; readonly cause: RunCause }
  | { readonly step: "mark"; readonly at: Instant }
  | { readonly step: "unmark" }
  | { readonly step: "end"; readonly at: Instant; readonly cause: RunCause };

export interface RunKeeper {
  /** A person at a screen; nothing where that is not possible now (begin with a run open, end with none). */
  begin(at: Instant): readonly RunStep[];
  end(at: Instant): readonly RunStep[];
  footSwitch(reading: Reading): readonly RunStep[];
  laser(reading: Reading): readonly RunStep[];
  /** Called at least once a second. */
  tick(now: Instant): readonly RunStep[];
  cause(): RunCause | null;
  /** When the laser of an open run went off, if it may turn out to have ended then; null otherwise. */
  pendingEnd(): Instant | null;
}

/**
 * Decides when a run begins and ends. Pure but for what it remembers.
 *
 * A laser that comes on opens a run by itself and, once it has been off for `joinGapMs`, closes it at the moment it went
 * off: shorter gaps (the head travelling between cuts) join. A run begun by a person is ended by a person. A laser input
 * that dies counts as off from then on, because a run must not stay open on a value nobody sees.
 */
export function createRunKeeper(options: { readonly joinGapMs: number }): RunKeeper {
  let open: RunCause | null = null;
  let laserOn = false;
  /** Null until the pedal has been seen: one that is down from the start was not pressed now. */
  let pedalDown: boolean | null = null;
  let wentOff: Instant | null = null;

  const begin = (at: Instant, cause: RunCause): readonly RunStep[] => {
    open = cause;
    wentOff = null;
    return [{ step: "begin", at, cause }];
  };
  const end = (at: Instant, cause: RunCause): readonly RunStep[] => {
    open = null;
    wentOff = null;
    return [{ step: "end", at, cause }];
  };
  const overdue = (now: Instant): readonly RunStep[] =>
    open === "laser-on" && wentOff !== null && now.mono - wentOff.mono >= options.joinGapMs
      ? end(wentOff, "laser-on")
      : [];

  return {
    begin: (at) => (open === null ? begin(at, "screen") : []),
    end: (at) => (open === null ? [] : end(at, "screen")),
    footSwitch(reading) {
      const down = reading.value === 1;
      const pressed = down && pedalDown === false;
      // A pedal whose wire drops out and comes back must not press itself.
      if (reading.value !== null) pedalDown = down;
      if (!pressed) return [];
      return open === null ? begin(reading.at, "foot-switch") : end(reading.at, "foot-switch");
    },
    laser(reading) {
      const was = laserOn;
      laserOn = reading.value === 1;
      if (laserOn === was) return [];
      if (!laserOn) {
        if (open !== "laser-on") return [];
        wentOff = reading.at;
        return [{ step: "mark", at: reading.at }];
      }
      // The gap may have run out between two ticks: then this is another run.
      const ended = overdue(reading.at);
      if (open === null) return [...ended, ...begin(reading.at, "laser-on")];
      if (open !== "laser-on") return [];
      wentOff = null;
      return [{ step: "unmark" }];
    },
    tick: overdue,
    cause: () => open,
    pendingEnd: () => wentOff,
  };
}
