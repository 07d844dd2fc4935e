import type { RawReading, Reason } from "./reading.js";

/** States of a supervised source. A file that is polled is `open` while it can be read. */
export type SourceState = "closed" | "opening" | "open" | "silent" | "backing-off";

/** Why a board began anew, by the words of the serial protocol. `isTrouble`: nobody did it on purpose. */
export const RESTART_CAUSES = {
  "power-on": { isTrouble: false, text: "it was switched on" },
  "brown-out": { isTrouble: true, text: "its supply voltage fell too low" },
  external: { isTrouble: false, text: "its reset line was pulled, as opening its port does" },
  watchdog: { isTrouble: true, text: "its program hung, and its watchdog started it again" },
  unknown: { isTrouble: false, text: "it does not know why" },
} as const satisfies Record<string, { isTrouble: boolean; text: string }>;
export type RestartCause = keyof typeof RESTART_CAUSES;

/** Any other word is `unknown`. */
export function restartCauseOf(word: string): RestartCause {
  return Object.hasOwn(RESTART_CAUSES, word) ? (word as RestartCause) : "unknown";
}

/** The last start that a board told of, and how many it told of since the station's start. */
export interface BoardRestart {
  readonly cause: RestartCause;
  /** How long ago, milliseconds by the monotonic clock. */
  readonly agoMs: number;
  readonly count: number;
}

export interface SourceStatus {
  readonly source: string;
  readonly driver: string;
  readonly state: SourceState;
  /** Why it is not open, for people; null while all is well. */
  readonly reason: Reason | null;
  readonly detail: string | null;
  readonly simulated: boolean;
  /** Frames or reads since start, and those dropped, by why. */
  readonly accepted: number;
  readonly dropped: Readonly<Record<string, number>>;
  /** Only of a board that tells why it began anew; null until it has. */
  readonly restart?: BoardRestart | null;
}

export interface SourceSink {
  reading(raw: RawReading): void;
  status(status: SourceStatus): void;
}

/** What `check` found out about a source or channel, in words for the person who will mend it. */
export interface Finding {
  readonly subject: string;
  readonly ok: boolean;
  readonly found: string;
  /** What to do; empty when ok. */
  readonly mend: string;
}

/** The one interface that every driver stands behind. Nothing downstream calls back into it but its owner, main.ts. */
export interface Source {
  readonly id: string;
  start(sink: SourceSink): void;
  /** Resolves once every handle is closed and no timer is left; safe to call twice. */
  stop(): Promise<void>;
  status(): SourceStatus;
  /** Looks at the wiring without starting; never throws. */
  check(): Promise<readonly Finding[]>;
}
