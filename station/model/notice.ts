import type { Instant } from "./instant.js";

/** The ways in which the station tells somebody who is not in the shop. */
export const WAYS = ["mail", "mqtt", "webhook"] as const;
export type Way = (typeof WAYS)[number];

export type NoticeState = "waiting" | "sent" | "given-up";

/** Something to be told by one way, once. */
export interface Notice {
  /** The same for the same thing by the same way, whoever makes it and when. */
  readonly key: string;
  readonly way: Way;
  /** Anything JSON can hold. */
  readonly payload: unknown;
  readonly at: Instant;
}

/** How it stands with a notice. */
export interface NoticeStanding {
  readonly state: NoticeState;
  /** Key of the message that it goes out in; null until that is settled. */
  readonly message: string | null;
  readonly attempts: number;
  /** Wall milliseconds. */
  readonly nextWall: number | null;
  /** When it was sent or given up, wall milliseconds. */
  readonly doneWall: number | null;
  /** What went wrong at the last try. */
  readonly error: string | null;
}

export type KeptNotice = Notice & NoticeStanding & { readonly id: number; readonly bootId: string };
