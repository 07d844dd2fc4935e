import type { RawReading, Reason } from "./reading.js";

/** States of a supervised source. A file that is polled is `open` while it can be read. */
export type SourceState = "closed" | "opening" | "open" | "silent" | "backing-off";

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
