import type { Reason } from "../../model/reading.js";
import type { SourceState } from "../../model/source.js";

/** Milliseconds. */
export interface SupervisionTimes {
  /** Without a good frame for this long an open port is silent; for as long again, and it is closed and opened anew. */
  readonly silentAfterMs: number;
  /** An opening that takes longer has failed. */
  readonly openLimitMs: number;
  readonly firstBackOffMs: number;
  readonly longestBackOffMs: number;
}

export const BACK_OFF = { openLimitMs: 10_000, firstBackOffMs: 500, longestBackOffMs: 10_000 } as const;

export interface Trouble {
  readonly reason: Reason;
  readonly detail: string;
}

/** Where a port stands. `failures` are those in a row since the last good frame; `since` and all times are monotonic ms. */
export type Supervision =
  | { readonly state: "closed" }
  | {
      readonly state: "opening";
      readonly since: number;
      readonly failures: number;
      readonly before: Trouble | null;
    }
  | {
      readonly state: "open";
      /** The last good frame, or the opening where there was none yet. */
      readonly heardAt: number;
      readonly failures: number;
      /** Bytes came that made no frame. */
      readonly noise: boolean;
      readonly before: Trouble | null;
    }
  | { readonly state: "silent"; readonly since: number; readonly failures: number; readonly trouble: Trouble }
  | {
      readonly state: "backing-off";
      readonly until: number;
      readonly failures: number;
      readonly trouble: Trouble;
      /** Whether the old port has said that it is closed. No new one is made before. */
      readonly released: boolean;
    };

export type SupervisionEvent =
  | { readonly event: "start" | "stop" | "opened" | "frame" | "noise" | "released" | "due" }
  | { readonly event: "open-failed" | "lost"; readonly trouble: Trouble };

/** What the shell has to do: make a port and open it, or close the one it has and say `released` when that is over. */
export type SupervisionAction = "open" | "release" | null;

export interface Step {
  readonly next: Supervision;
  readonly action: SupervisionAction;
}

export const CLOSED: Supervision = { state: "closed" };

/** The moment at which `due` has to come, or null where nothing is waited for. There is never more than one. */
export function dueAt(now: Supervision, times: SupervisionTimes): number | null {
  switch (now.state) {
    case "closed":
      return null;
    case "opening":
      return now.since + times.openLimitMs;
    case "open":
      return now.heardAt + times.silentAfterMs;
    case "silent":
      return now.since + times.silentAfterMs;
    case "backing-off":
      // Until the old port is closed there is nothing to do at any moment: `released` comes first.
      return now.released ? now.until : null;
  }
}

/** The next state. An event that means nothing in a state leaves it as it is. */
export function step(
  from: Supervision,
  event: SupervisionEvent,
  mono: number,
  times: SupervisionTimes,
): Step {
  if (event.event === "stop") return { next: CLOSED, action: from.state === "closed" ? null : "release" };
  switch (from.state) {
    case "closed":
      return event.event === "start" ? open(mono, 0, null) : stay(from);
    case "opening":
      if (event.event === "opened") {
        return stay({
          state: "open",
          heardAt: mono,
          failures: from.failures,
          noise: false,
          before: from.before,
        });
      }
      if (event.event === "open-failed") return backOff(from.failures, event.trouble, mono, times);
      if (event.event !== "due") return stay(from);
      return backOff(
        from.failures,
        { reason: "timed-out", detail: "opening the port did not end" },
        mono,
        times,
      );
    case "open":
      if (event.event === "frame") return stay(heard(mono));
      if (event.event === "noise") return stay({ ...from, noise: true });
      if (event.event === "lost") return backOff(from.failures, event.trouble, mono, times);
      if (event.event !== "due") return stay(from);
      return stay({
        state: "silent",
        since: mono,
        failures: from.failures,
        trouble: from.noise
          ? {
              reason: "garbled",
              detail: "bytes come in, but no whole frame: check the baud rate and the board's program",
            }
          : { reason: "silent", detail: "the port is open, but nothing comes in" },
      });
    case "silent":
      if (event.event === "frame") return stay(heard(mono));
      if (event.event === "lost") return backOff(from.failures, event.trouble, mono, times);
      if (event.event === "due") return backOff(from.failures, from.trouble, mono, times);
      return stay(from);
    case "backing-off":
      if (event.event === "released") {
        return mono >= from.until
          ? open(mono, from.failures, from.trouble)
          : stay({ ...from, released: true });
      }
      if (event.event === "due" && from.released) return open(mono, from.failures, from.trouble);
      return stay(from);
  }
}

/** What is shown, worked out from where the port stands and from nothing else. */
export function shown(now: Supervision): {
  state: SourceState;
  reason: Reason | null;
  detail: string | null;
} {
  switch (now.state) {
    case "closed":
      return { state: "closed", reason: null, detail: null };
    case "opening":
    case "open": {
      // A port that was opened again is not well before it has said something.
      const trouble = now.before;
      return { state: now.state, reason: trouble?.reason ?? null, detail: trouble?.detail ?? null };
    }
    case "silent":
    case "backing-off":
      return { state: now.state, reason: now.trouble.reason, detail: now.trouble.detail };
  }
}

/** 0.5 s, 1 s, 2 s, … and no more than the longest. */
export function backOffMs(failures: number, times: SupervisionTimes): number {
  return Math.min(times.longestBackOffMs, times.firstBackOffMs * 2 ** Math.max(0, failures - 1));
}

/** Words for a port that could not be opened or was lost, each mendable in its own way. */
export function troubleOfOpening(path: string, message: string): Trouble {
  if (/no such file|no such device|ENOENT|ENODEV|ENXIO/i.test(message)) {
    return { reason: "missing", detail: `there is no ${path}: is the board plugged in?` };
  }
  if (/permission denied|EACCES|EPERM|operation not permitted/i.test(message)) {
    return {
      reason: "no-permission",
      detail: `the station may not open ${path}: add its user to the group dialout`,
    };
  }
  if (/cannot lock|EBUSY|resource busy|temporarily unavailable/i.test(message)) {
    return {
      reason: "busy",
      detail: `another program holds ${path}: close the serial monitor or the other station`,
    };
  }
  return { reason: "read-error", detail: `${path} could not be opened: ${message}` };
}

export function troubleOfLoss(path: string, error: Error | null): Trouble {
  return { reason: "unplugged", detail: `${path} went away${error === null ? "" : ` (${error.message})`}` };
}

const stay = (next: Supervision): Step => ({ next, action: null });

const open = (since: number, failures: number, before: Trouble | null): Step => ({
  next: { state: "opening", since, failures, before },
  action: "open",
});

const heard = (heardAt: number): Supervision => ({
  state: "open",
  heardAt,
  failures: 0,
  noise: false,
  before: null,
});

function backOff(failures: number, trouble: Trouble, mono: number, times: SupervisionTimes): Step {
  const count = failures + 1;
  const until = mono + backOffMs(count, times);
  return {
    next: { state: "backing-off", until, failures: count, trouble, released: false },
    action: "release",
  };
}
