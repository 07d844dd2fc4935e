import type { Instant } from "./instant.js";

/** Something that somebody did, or tried to: a look at the machine, a sign-in, a setting that was refused. */
export interface Deed {
  /** Who is known to have done it; null where nobody signed in, or it was the station itself. */
  readonly who: string | null;
  readonly role: string | null;
  /** Where it came from: an IP address. */
  readonly address: string | null;
  /** A word for it: "sign-in", "fire-watch-look", "checklist-before", ... */
  readonly what: string;
  /** What it was done to; empty where that is said by `what`. */
  readonly subject: string;
  /** "done", "refused", ... */
  readonly outcome: string;
  /** Anything JSON can hold; undefined where there is nothing more to say. */
  readonly detail?: unknown;
  readonly at: Instant;
}

/** As the journal has it. `at.mono` may be compared within its boot only. */
export type KeptDeed = Deed & { readonly id: number; readonly bootId: string };
