import type { Caller } from "./caller.js";

/** What somebody did, or tried to do, for the log of who did what. Nothing that was typed goes into it. */
export interface NewDeed {
  readonly who: string | null;
  readonly role: string | null;
  readonly address: string | null;
  readonly what: string;
  readonly subject: string;
  readonly outcome: string;
}

export type TellDeed = (deed: NewDeed) => void;

export function deedOf(
  { who, role, address }: Pick<Caller, "who" | "role" | "address">,
  what: string,
  subject: string,
  outcome: string,
): NewDeed {
  return { who, role, address, what, subject, outcome };
}
