import type { AppError } from "../errors.js";
import type { Log } from "../log.js";
import type { AccessState, AccessView, Me, NetworkView, SessionView } from "../model/access.js";
import type { Clock } from "../model/instant.js";
import type { Caller, Origin } from "./caller.js";
import { createCallers } from "./callers.js";
import type { TellDeed } from "./deeds.js";
import { createFailures } from "./failures.js";
import { createHashing, type Hashing } from "./hashing.js";
import { createPairings } from "./pairings.js";
import { createPeople, type People } from "./people.js";
import { createSignIn, type SignIn } from "./sign-in.js";
import type { AccessStore } from "./store.js";
import { sumOfToken } from "./tokens.js";

const SUMMARY_EVERY_MS = 60_000;

export interface Access extends SignIn, People {
  state(): AccessState;
  /** As `AccessStore.refusal`. */
  refusal(): AppError | null;
  caller(token: string | null, origin: Origin): Caller;
  again(caller: Caller): Caller;
  acted(caller: Caller): void;
  me(caller: Caller): Me;
  view(caller: Caller): AccessView;
  /** Whether a program may read the metrics with this token. */
  mayScrape(token: string): boolean;
  hashes(): number;
  close(): Promise<void>;
}

export interface AccessParts {
  readonly store: AccessStore;
  readonly clock: Clock;
  readonly log: Log;
  readonly stationName: string;
  readonly tell: TellDeed;
  /** Sessions have ended, or who may what has changed. */
  readonly ended: (sessions: readonly string[]) => void;
  readonly locked: () => Promise<void>;
  readonly network: () => NetworkView;
  readonly hashing?: Hashing;
}

/** The door of the station: who may sign in, who has, and what they may. */
export function createAccess(parts: AccessParts): Access {
  const { store, clock, log, tell, ended, locked } = parts;
  const hashing = parts.hashing ?? createHashing();
  const pairings = createPairings();
  const failures = createFailures();
  const callers = createCallers(store, clock);
  const signIn = createSignIn({ ...{ store, hashing, pairings, clock, failures, tell, ended } });
  const people = createPeople({ ...{ store, hashing, pairings, clock, tell, ended, locked } });

  const summary = () => {
    for (const { address, what, count } of failures.summary()) {
      tell({ who: null, role: null, address, what, subject: "", outcome: `refused: ${count} more tries` });
      log("warn", "tries were refused", { what, address, count });
    }
  };
  const timer = setInterval(summary, SUMMARY_EVERY_MS);
  timer.unref();

  const sessionViews = (caller: Caller): SessionView[] => {
    const { mono } = clock.now();
    return store.sessions
      .all()
      .map((session) => {
        const { id, name, kind, sinceWall, address } = session;
        const now = callers.again({ ...caller, session });
        const person = store.held().people.find((each) => each.id === session.person)?.name ?? null;
        const idleMs = mono - session.usedMono;
        const view = { id, name, kind, person, sinceWall, idleMs, address };
        return { ...view, role: now.role ?? "viewer", this: id === caller.session?.id };
      })
      .sort((a, b) => a.idleMs - b.idleMs);
  };

  return {
    ...signIn,
    ...people,
    state: store.state,
    refusal: store.refusal,
    caller: callers.of,
    again: callers.again,
    acted: callers.acted,
    me: (caller) => callers.me(caller, parts.stationName),
    view: (caller) => ({
      state: store.state(),
      people: store.held().people.map(({ hash: _, ...person }) => person),
      sessions: sessionViews(caller),
      pin: { set: store.held().pin.hash !== null, idleMinutes: store.held().pin.idleMinutes },
      scraperTokenSet: store.held().scraper !== null,
      network: parts.network(),
    }),
    mayScrape(token) {
      const sum = sumOfToken(token);
      return sum !== null && sum === store.held().scraper;
    },
    hashes: hashing.count,
    async close() {
      clearInterval(timer);
      summary();
      await store.close();
    },
  };
}
