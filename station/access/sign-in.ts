import { randomUUID } from "node:crypto";
import { AppError } from "../errors.js";
import { type Role, rankOf } from "../model/access.js";
import type { Clock } from "../model/instant.js";
import type { Caller } from "./caller.js";
import { deedOf, type TellDeed } from "./deeds.js";
import type { Failures } from "./failures.js";
import type { Person } from "./file.js";
import type { Hashing } from "./hashing.js";
import { PAIRING_MS, type Pairing, type Pairings } from "./pairings.js";
import { checkPassphrase, fold } from "./passphrase.js";
import { knownIn } from "./people.js";
import { placeOf } from "./place.js";
import { roleOf, type Session } from "./sessions.js";
import type { AccessStore } from "./store.js";
import { createThrottle, type Throttle } from "./throttle.js";
import { newToken, sumOfToken } from "./tokens.js";
import { TooSoon, waitWords } from "./too-soon.js";

export interface SignInParts {
  readonly store: AccessStore;
  readonly hashing: Hashing;
  readonly pairings: Pairings;
  readonly clock: Clock;
  readonly failures: Failures;
  readonly tell: TellDeed;
  /** These sessions have ended: what hangs on them is cut. */
  readonly ended: (sessions: readonly string[]) => void;
}

export interface SignIn {
  /** @returns the token of a new session, for its cookie */
  signIn(caller: Caller, name: string, passphrase: string): Promise<string>;
  signOut(caller: Caller): Promise<void>;
  /** Makes the screen an operator for as long as it is used. @returns the token of a new session */
  enterPin(caller: Caller, pin: string): Promise<string>;
  /** Puts an end to what the PIN allowed. */
  lock(caller: Caller): void;
  offer(caller: Caller, role: Role): { readonly token: string; readonly endsInMs: number };
  /** @returns the token of the phone's session */
  pair(caller: Caller, token: string, name: string): Promise<string>;
  changePassphrase(caller: Caller, current: string, passphrase: string): Promise<string>;
}

/** At the station itself nobody from the network has a say in how long the owner waits, and it is never for long. */
const HERE = "here";
const LONGEST_HERE_MS = 10_000;
const LONGEST_NAME_MS = 300_000;
const LONGEST_ADDRESS_MS = 900_000;
const LONGEST_PIN_MS = 300_000;

/**
 * Of whom a try of a passphrase counts. Names that nobody has wait like those that somebody has, so that no wait tells which they
 * are; but they are of another kind, and push nobody's out.
 */
function passphraseKeys({ here, address }: Caller, person: Person | null, name: string): readonly string[] {
  if (here) return [HERE];
  return [`address ${placeOf(address)}`, person === null ? `name ${fold(name)}` : `person ${person.id}`];
}

/**
 * Of whom a try of the PIN counts. A new session each time would be a new count each time: it is the person's, and all tries from
 * the network are counted as one too, for a PIN is soon found by several. On the wall it is the wall's.
 */
function pinKeys({ here, person, session, address }: Caller): readonly string[] {
  if (here) return [HERE];
  const whose = person !== null ? `person ${person.id}` : `session ${session?.id ?? placeOf(address)}`;
  return [whose, "network"];
}

export function createSignIn(parts: SignInParts): SignIn {
  const { store, hashing, pairings, clock, failures, tell, ended } = parts;
  const tries = createThrottle((key) =>
    key === HERE ? LONGEST_HERE_MS : key.startsWith("address ") ? LONGEST_ADDRESS_MS : LONGEST_NAME_MS,
  );
  const pins = createThrottle(() => LONGEST_PIN_MS);

  const needLocked = () => {
    const refusal = store.refusal();
    if (refusal !== null) throw refusal;
    if (store.state() === "open") {
      throw new AppError("not-locked", "No passphrase is set yet: set one on the page Access first.");
    }
  };

  /** One try: it counts as failed until it is known not to be, so that a hundred at once are not a hundred for one. */
  const attempt = async (
    throttle: Throttle,
    keys: readonly string[],
    caller: Caller,
    what: string,
    look: () => Promise<boolean>,
  ) => {
    const { mono } = clock.now();
    const waitMs = throttle.wait(keys, mono);
    if (waitMs > 0) {
      if (failures.failed(caller.address, what)) tell(deedOf(caller, what, "", "refused: too many tries"));
      throw new TooSoon("too-many-tries", `Too many wrong tries. Try again in ${waitWords(waitMs)}.`, waitMs);
    }
    throttle.failed(keys, mono);
    if (await look()) {
      throttle.succeeded(keys);
      return;
    }
    if (failures.failed(caller.address, what)) tell(deedOf(caller, what, "", "refused: not the right one"));
    throw new AppError("sign-in-refused", WRONG[what] ?? "That is not right.");
  };

  const begin = async (session: Omit<Session, "sum" | "sinceMono" | "usedMono" | "raisedMono" | "id">) => {
    const token = newToken();
    const made = store.sessions.add(
      { ...session, id: randomUUID(), sum: sumOfToken(token) ?? "" },
      clock.now().mono,
    );
    return { token, made };
  };

  /** The token that a browser had before a sign-in is worth nothing after it, whoever has put it there. */
  const endOf = (caller: Caller) => {
    if (caller.session === null) return;
    const { id } = caller.session;
    ended(store.sessions.end((session) => session.id === id));
  };

  const beginSignedIn = async (caller: Caller, person: Person): Promise<string> => {
    endOf(caller);
    const { token } = await begin({
      kind: "signed in",
      person: person.id,
      name: person.name,
      most: "owner",
      address: caller.address,
      sinceWall: clock.now().wall,
    });
    await store.keepSessions();
    return token;
  };

  return {
    async signIn(caller, name, passphrase) {
      needLocked();
      const person = store.held().people.find((each) => fold(each.name) === fold(name)) ?? null;
      const keys = passphraseKeys(caller, person, name);
      await attempt(tries, keys, caller, "sign-in", () =>
        hashing.fits(person?.hash ?? null, passphrase, caller.here),
      );
      // Somebody may have been taken off the list while the hash was reckoned.
      const still = store.held().people.find(({ id }) => id === person?.id);
      if (still === undefined) throw new AppError("sign-in-refused", WRONG["sign-in"] ?? "");
      const token = await beginSignedIn(caller, still);
      tell({ ...deedOf(caller, "sign-in", "", "done"), who: still.name, role: still.role });
      return token;
    },

    async signOut(caller) {
      if (caller.session === null) return;
      endOf(caller);
      await store.keepSessions();
      tell(deedOf(caller, "sign-out", "", "done"));
    },

    async enterPin(caller, pin) {
      needLocked();
      const { hash } = store.held().pin;
      if (hash === null)
        throw new AppError("pin-not-set", "No PIN is set. The owner sets one on the page Access.");
      await attempt(pins, pinKeys(caller), caller, "PIN", () => hashing.fits(hash, pin, caller.here));
      if (store.held().pin.hash !== hash) throw new AppError("sign-in-refused", WRONG.PIN ?? "");
      const { session } = caller;
      endOf(caller);
      const { token, made } = await begin({
        kind: session?.kind ?? "wall",
        person: session?.person ?? null,
        name: session?.name ?? "Wall screen",
        most: session?.most ?? "viewer",
        address: caller.address,
        sinceWall: clock.now().wall,
      });
      store.sessions.raise(made.id, clock.now().mono);
      await store.keepSessions();
      tell({ ...deedOf(caller, "PIN", "", "done"), who: made.name, role: "operator" });
      return token;
    },

    lock(caller) {
      if (caller.session === null) return;
      store.sessions.raise(caller.session.id, null);
      tell(deedOf(caller, "PIN", "", "locked again"));
    },

    offer(caller, role) {
      needLocked();
      // What a PIN allows for minutes must not become months on a phone, nor outlast the PIN.
      const own =
        caller.session === null ? caller.role : roleOf(caller.session, caller.person?.role ?? null, false);
      if (rankOf(role) > rankOf(own)) {
        throw new AppError(
          "not-allowed",
          "A phone can be given no more than this screen may itself without the PIN.",
        );
      }
      const pairing: Pairing = { role, person: caller.person?.id ?? null };
      const token = pairings.offer(pairing, clock.now().mono);
      tell(deedOf(caller, "pairing offered", role, "done"));
      return { token, endsInMs: PAIRING_MS };
    },

    async pair(caller, token, name) {
      needLocked();
      const pairing = pairings.take(token, clock.now().mono);
      const person = store.held().people.find(({ id }) => id === pairing?.person) ?? null;
      const orphan = pairing !== null && pairing.person !== null && person === null;
      if (pairing === null || orphan) {
        if (failures.failed(caller.address, "pairing"))
          tell(deedOf(caller, "pairing", "", "refused: no such code"));
        throw new AppError(
          "pairing-refused",
          "This code has been used, or is older than two minutes. Show a new one on the signed-in screen.",
        );
      }
      const taken = store.held().people.some((each) => fold(each.name) === fold(name));
      if (taken && fold(name) !== fold(person?.name ?? "")) {
        throw new AppError(
          "name-taken",
          "Somebody who signs in here has this name. Show a new code, and give this phone another.",
        );
      }
      endOf(caller);
      const { token: cookie } = await begin({
        kind: "paired",
        person: person?.id ?? null,
        name: name.trim(),
        most: pairing.role,
        address: caller.address,
        sinceWall: clock.now().wall,
      });
      await store.keepSessions();
      tell({ ...deedOf(caller, "pairing", "", "done"), who: name.trim(), role: pairing.role });
      return cookie;
    },

    async changePassphrase(caller, current, passphrase) {
      needLocked();
      const { person } = caller;
      if (person === null) throw new AppError("not-allowed", "Sign in with your own passphrase first.");
      const keys = passphraseKeys(caller, person, person.name);
      await attempt(tries, keys, caller, "passphrase", () => hashing.fits(person.hash, current, caller.here));
      checkPassphrase(passphrase, person.name);
      const hash = await hashing.make(passphrase, caller.here);
      await store.put((held) => {
        // Somebody else may have given another one, or taken this person off the list, while the hash was reckoned.
        if (knownIn(held, person.id).hash !== person.hash)
          throw new AppError("sign-in-refused", WRONG.passphrase ?? "");
        return { people: held.people.map((each) => (each.id === person.id ? { ...each, hash } : each)) };
      });
      pairings.forget();
      // Whoever knew the old one is out: that is what it is changed for.
      ended(store.sessions.end((session) => session.person === person.id));
      const token = await beginSignedIn({ ...caller, session: null }, { ...person, hash });
      tell(deedOf(caller, "passphrase changed", person.name, "done"));
      return token;
    },
  };
}

const WRONG: Readonly<Record<string, string>> = {
  "sign-in": "The name and the passphrase do not go together. Look at both, and try again.",
  PIN: "That is not the PIN.",
  passphrase: "That is not your passphrase as it is now.",
};
