import type { Role } from "../model/access.js";
import type { Person } from "./file.js";
import type { Session } from "./sessions.js";

/** Where a request comes from. */
export interface Origin {
  /** The other end of the connection. */
  readonly address: string;
  /** It is a browser or program on the station itself. */
  readonly here: boolean;
}

/** Who asks, and what they may. */
export interface Caller extends Origin {
  readonly session: Session | null;
  readonly person: Person | null;
  readonly role: Role | null;
  /** For the record; null where nobody has signed in. */
  readonly who: string | null;
}
