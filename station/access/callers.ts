import { type Me, type Role, rankOf } from "../model/access.js";
import type { Clock } from "../model/instant.js";
import type { Caller, Origin } from "./caller.js";
import { roleOf, type Session } from "./sessions.js";
import type { AccessStore } from "./store.js";
import { sumOfToken } from "./tokens.js";

/** For the record, where nobody signed in: whoever stood there. */
export const WALL = "the station's own screen";

export interface Callers {
  /** Who asks with the token of this cookie. */
  of(token: string | null, origin: Origin): Caller;
  /** As it stands now with one who came earlier: on a socket. */
  again(caller: Caller): Caller;
  /** Something was done by a person: what a PIN allows goes on for its minutes from now. */
  acted(caller: Caller): void;
  me(caller: Caller, stationName: string): Me;
}

/** Tells who somebody is, from a session or from being at the station itself. */
export function createCallers(store: AccessStore, clock: Clock): Callers {
  const mono = () => clock.now().mono;

  const raisedLeft = ({ raisedMono }: Session): number => {
    if (raisedMono === null || store.held().pin.hash === null) return 0;
    return Math.max(0, raisedMono + store.held().pin.idleMinutes * 60_000 - mono());
  };

  const callerOf = (found: Session | null, origin: Origin): Caller => {
    const state = store.state();
    const person = store.held().people.find(({ id }) => id === found?.person) ?? null;
    // One whose person is no longer there is none, and with an open door there are none.
    const session =
      state !== "locked" || (found !== null && found.person !== null && person === null) ? null : found;
    if (session !== null) {
      const role = roleOf(session, person?.role ?? null, raisedLeft(session) > 0);
      return { ...origin, session, person, role, who: session.name };
    }
    const role: Role | null = !origin.here ? null : state === "open" ? "owner" : "viewer";
    return { ...origin, session: null, person: null, role, who: origin.here ? WALL : null };
  };

  return {
    of(token, origin) {
      const sum = sumOfToken(token);
      const session = sum === null ? null : store.sessions.find(sum, mono());
      if (session !== null) store.sessions.used(session.id, mono());
      return callerOf(session, origin);
    },
    again(caller) {
      const { session } = caller;
      if (session === null) return callerOf(null, caller);
      const now = store.sessions.find(session.sum, mono());
      // One whose session has ended does not become the screen on the wall by that.
      return now === null
        ? { ...caller, session: null, person: null, role: null, who: null }
        : callerOf(now, caller);
    },
    acted({ session }) {
      const now = session === null ? null : store.sessions.byId(session.id);
      if (now !== null && raisedLeft(now) > 0) store.sessions.raise(now.id, mono());
    },
    me({ session, person, role, who, here }, stationName) {
      const own = session === null ? null : roleOf(session, person?.role ?? null, false);
      const raised = session !== null && rankOf(own) < rankOf("operator") ? raisedLeft(session) : 0;
      return {
        state: store.state(),
        stationName,
        here,
        role,
        who: session === null ? null : who,
        ownPassphrase: person !== null && session?.kind === "signed in",
        pinSet: store.held().pin.hash !== null,
        raisedLeftMs: raised > 0 ? raised : null,
      };
    },
  };
}
