import type { Deed } from "../model/deed.js";
import type { Caller } from "./caller.js";

/** What somebody did, or tried to do, for the log of who did what. Nothing that was typed as a secret goes into it. */
export type NewDeed = Omit<Deed, "at" | "detail">;

export type TellDeed = (deed: NewDeed) => void;

export function deedOf(
  { who, role, address }: Pick<Caller, "who" | "role" | "address">,
  what: string,
  subject: string,
  outcome: string,
): NewDeed {
  return { who, role, address, what, subject, outcome };
}
