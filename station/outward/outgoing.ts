import type { OutwardEvent } from "./event.js";
import type { Mail } from "./wording.js";

/** A message ready to go, as the thread that sends it gets it. */
export type Outgoing =
  | { readonly way: "mail"; readonly mail: Mail; readonly wall: number }
  | { readonly way: "mqtt"; readonly event: OutwardEvent }
  | { readonly way: "webhook"; readonly key: string; readonly event: OutwardEvent };

/** How it went with a message that a server answered for. */
export interface Taken {
  /** What was not right although it was taken; null where all was. */
  readonly note: string | null;
  /** Whether some of those it goes to have yet to get it: sent again, the same, it goes only to these. */
  readonly again: boolean;
  /** Whether it was refused for good, and by everybody: it is not to be sent again, and `note` says why. */
  readonly nobody: boolean;
}

/** How an alarm stands, for those who want it as it is now and not as it changed. */
export interface AlarmStanding {
  readonly alarm: string;
  readonly title: string;
  readonly priority: string;
  readonly state: string;
  readonly detail: string;
  /** ISO 8601; null while it is normal. */
  readonly since: string | null;
}
