import { randomUUID } from "node:crypto";
import { AppError } from "../errors.js";
import type { Role } from "../model/access.js";
import type { Clock } from "../model/instant.js";
import type { Caller } from "./caller.js";
import { deedOf, type TellDeed } from "./deeds.js";
import { MOST_PEOPLE, type Person } from "./file.js";
import type { Hashing } from "./hashing.js";
import type { Pairings } from "./pairings.js";
import { checkPassphrase, checkPin, fold } from "./passphrase.js";
import type { AccessStore, Held } from "./store.js";
import { newToken, sumOfToken } from "./tokens.js";

export interface PeopleParts {
  readonly store: AccessStore;
  readonly hashing: Hashing;
  readonly pairings: Pairings;
  readonly clock: Clock;
  readonly tell: TellDeed;
  readonly ended: (sessions: readonly string[]) => void;
  /** There is a passphrase now: the network may be let in. */
  readonly locked: () => Promise<void>;
}

export interface NewPerson {
  readonly name: string;
  readonly role: Role;
  readonly passphrase: string;
}

export interface PersonChange {
  readonly role?: Role | undefined;
  readonly passphrase?: string | undefined;
}

/** Who may sign in, with what, and which of their sessions are still good. All of it is the owner's. */
export interface People {
  /** The first passphrase: from now on everybody signs in. */
  begin(caller: Caller, name: string, passphrase: string): Promise<void>;
  add(caller: Caller, person: NewPerson): Promise<void>;
  change(caller: Caller, id: string, change: PersonChange): Promise<void>;
  remove(caller: Caller, id: string): Promise<void>;
  /** @param pin null: none any more */
  setPin(caller: Caller, pin: string | null, idleMinutes: number): Promise<void>;
  endSession(caller: Caller, id: string): Promise<void>;
  /** All but the one that asks. */
  endOthers(caller: Caller): Promise<void>;
  /** @returns a token for whatever reads /metrics; the one of before is worth nothing any more */
  newScraperToken(caller: Caller): Promise<string>;
}

/** @throws AppError `person-unknown` */
export function knownIn({ people }: Held, id: string): Person {
  const person = people.find((each) => each.id === id);
  if (person !== undefined) return person;
  throw new AppError("person-unknown", "Nobody on the list has this id: load the page again.");
}

export function createPeople(parts: PeopleParts): People {
  const { store, hashing, pairings, clock, tell, ended, locked } = parts;

  const made = async ({ name, role, passphrase }: NewPerson, here: boolean): Promise<Person> => {
    checkPassphrase(passphrase, name);
    const hash = await hashing.make(passphrase, here);
    return { id: randomUUID(), name: name.trim(), role, hash, sinceWall: clock.now().wall };
  };
  const needOwner = (people: readonly Person[]) => {
    if (people.some(({ role }) => role === "owner")) return;
    throw new AppError("last-owner", "The station needs an owner: make somebody else one first.");
  };
  const endSessions = async (fits: Parameters<AccessStore["sessions"]["end"]>[0]) => {
    pairings.forget();
    ended(store.sessions.end(fits));
    await store.keepSessions();
  };

  return {
    async begin(caller, name, passphrase) {
      const refusal = store.refusal();
      if (refusal !== null) throw refusal;
      if (store.state() !== "open") {
        throw new AppError("already-locked", "A passphrase is set already: sign in with it.");
      }
      const owner = await made({ name, role: "owner", passphrase }, true);
      await store.put(({ people }) => {
        if (people.length > 0) throw new AppError("already-locked", "Somebody was quicker: sign in.");
        return { people: [owner] };
      });
      tell(deedOf(caller, "first passphrase set", owner.name, "done"));
      // Every page that is open is now that of somebody who has not signed in.
      ended([]);
      await locked();
    },

    async add(caller, person) {
      if (store.state() === "open") throw new AppError("not-locked", "Set your own passphrase first.");
      const free = ({ people }: Held) => {
        if (people.some(({ name }) => fold(name) === fold(person.name)))
          throw new AppError("name-taken", "Somebody on the list has this name: take another.");
        if (people.length >= MOST_PEOPLE)
          throw new AppError(
            "list-full",
            `The list holds ${MOST_PEOPLE} people: take somebody off it first.`,
          );
      };
      free(store.held());
      const added = await made(person, caller.here);
      await store.put((held) => {
        free(held);
        return { people: [...held.people, added] };
      });
      tell(deedOf(caller, "person added", `${added.name}, ${added.role}`, "done"));
    },

    async change(caller, id, { role, passphrase }) {
      const person = knownIn(store.held(), id);
      if (passphrase !== undefined) checkPassphrase(passphrase, person.name);
      const hash = passphrase === undefined ? undefined : await hashing.make(passphrase, caller.here);
      await store.put((held) => {
        const before = knownIn(held, id);
        const after = {
          ...before,
          ...(role === undefined ? {} : { role }),
          ...(hash === undefined ? {} : { hash }),
        };
        const people = held.people.map((each) => (each.id === id ? after : each));
        needOwner(people);
        return { people };
      });
      const what = [...(role === undefined ? [] : [role]), ...(hash === undefined ? [] : ["new passphrase"])];
      tell(deedOf(caller, "person changed", [person.name, ...what].join(", "), "done"));
      // With another role or passphrase everybody signs in anew; who changes their own stays.
      await endSessions((session) => session.person === id && session.id !== caller.session?.id);
    },

    async remove(caller, id) {
      const person = knownIn(store.held(), id);
      await store.put((held) => {
        knownIn(held, id);
        const people = held.people.filter((each) => each.id !== id);
        needOwner(people);
        return { people };
      });
      tell(deedOf(caller, "person removed", person.name, "done"));
      await endSessions((session) => session.person === id);
    },

    async setPin(caller, pin, idleMinutes) {
      if (store.state() === "open") throw new AppError("not-locked", "Set your own passphrase first.");
      if (pin !== null) checkPin(pin);
      const hash = pin === null ? null : await hashing.make(pin, caller.here);
      await store.put(() => ({ pin: { hash, idleMinutes } }));
      for (const { id } of store.sessions.all()) store.sessions.raise(id, null);
      tell(deedOf(caller, pin === null ? "PIN taken away" : "PIN set", "", "done"));
    },

    async endSession(caller, id) {
      const session = store.sessions.byId(id);
      if (session === null) throw new AppError("session-unknown", "This session has ended already.");
      await endSessions((each) => each.id === id);
      tell(deedOf(caller, "session ended", session.name, "done"));
    },

    async endOthers(caller) {
      await endSessions(({ id }) => id !== caller.session?.id);
      tell(deedOf(caller, "all other sessions ended", "", "done"));
    },

    async newScraperToken(caller) {
      if (store.state() === "open") throw new AppError("not-locked", "Set your own passphrase first.");
      const token = newToken();
      await store.put(() => ({ scraper: sumOfToken(token) }));
      tell(deedOf(caller, "token for metrics made", "", "done"));
      return token;
    },
  };
}
