import { AppError } from "../errors.js";
import type { Log } from "../log.js";
import type { AccessState } from "../model/access.js";
import type { Clock } from "../model/instant.js";
import { type AccessFile, type Person, readAccessFile, writeAccessFile } from "./file.js";
import { createSessions, keptOf, type Sessions, sessionsOf } from "./sessions.js";

/** After a power cut a session is taken to be younger than it is by so much at most. */
const AGES_EVERY_MS = 600_000;
const PIN_IDLE_MINUTES = 10;

export interface Held {
  readonly people: readonly Person[];
  readonly pin: AccessFile["pin"];
  /** SHA-256 of the token that /metrics is asked with from the network. */
  readonly scraper: string | null;
}

export interface AccessStore {
  readonly sessions: Sessions;
  /** Resolves once the file has been read, or cannot be. On a disk that hangs that is never, and the state "unread" till then. */
  readonly read: Promise<void>;
  state(): AccessState;
  /** Why nobody can sign in, nor change anything, whoever it is; null where that is not so. */
  refusal(): AppError | null;
  held(): Held;
  /**
   * In force once it is on the disk.
   * @param change reckoned from what is in force when its turn has come, so that of two at once none is lost; what it throws is thrown
   * @throws AppError `access-not-kept`, and nothing has changed then
   */
  put(change: (held: Held) => Partial<Held>): Promise<void>;
  /** Writes how the sessions stand. What the disk refuses is told in the log, and the sessions are in force all the same. */
  keepSessions(): Promise<void>;
  close(): Promise<void>;
}

export interface StoreParts {
  readonly folder: string;
  readonly clock: Clock;
  readonly log: Log;
}

const NOTHING_HELD: Held = { people: [], pin: { hash: null, idleMinutes: PIN_IDLE_MINUTES }, scraper: null };

/**
 * Never throws: a file that cannot be read, or has not been yet, locks the door, and keeps nobody from watching the bench at the
 * station itself.
 */
export function openAccessStore({ folder, clock, log }: StoreParts): AccessStore {
  const now = () => ({ ...clock.now(), boot: clock.bootId, clock: clock.state() });
  let held = NOTHING_HELD;
  let closedTo: "unread" | "unreadable" | null = "unread";
  let sessions = createSessions([]);
  const read = readAccessFile(folder).then(
    (file) => {
      closedTo = null;
      if (file === null) return;
      held = { people: file.people, pin: file.pin, scraper: file.scraper };
      sessions = createSessions(sessionsOf(file, now()));
    },
    (error: unknown) => {
      closedTo = "unreadable";
      const what = error instanceof Error ? error.message : String(error);
      const mend = "On the station, stop it and give a new passphrase: npm run station -- passphrase";
      log("error", `nobody can sign in, and the station listens on itself only. ${what} ${mend}`);
    },
  );
  const refusal = () => (closedTo === null ? null : new AppError(`access-${closedTo}`, REFUSALS[closedTo]));
  let writing: Promise<void> = Promise.resolve();

  /** One after the other, each with what is in force when its turn comes. */
  const inTurn = (work: () => Promise<void>): Promise<void> => {
    const turn = writing.then(work);
    writing = turn.catch(() => undefined);
    return turn;
  };
  const write = ({ people, pin, scraper }: Held): Promise<void> => {
    const { wall, mono, boot, clock: state } = now();
    return writeAccessFile(folder, {
      version: 1,
      written: { wall, mono, boot, clock: state },
      ...{ people: [...people], pin, scraper },
      sessions: sessions.all().map((session) => keptOf(session, mono)),
    });
  };

  const keepSessions = async () => {
    if (closedTo !== null || held.people.length === 0) return;
    await inTurn(() => write(held)).catch((error: unknown) => {
      log("error", "the sessions could not be kept", { error: String(error) });
    });
  };
  const timer = setInterval(() => {
    if (sessions.all().length > 0) void keepSessions();
  }, AGES_EVERY_MS);
  timer.unref();

  return {
    get sessions() {
      return sessions;
    },
    read,
    state: () => closedTo ?? (held.people.length === 0 ? "open" : "locked"),
    refusal,
    held: () => held,
    async put(change) {
      const refused = refusal();
      if (refused !== null) throw refused;
      await inTurn(async () => {
        const wanted = { ...held, ...change(held) };
        await write(wanted).catch((error: unknown) => {
          log("error", "access could not be changed", { error: String(error) });
          throw new AppError(
            "access-not-kept",
            "The disk did not take it, and nothing has changed. See that the disk has room and can be written to.",
          );
        });
        held = wanted;
      });
    },
    keepSessions,
    async close() {
      clearInterval(timer);
      await keepSessions();
      await writing;
    },
  };
}

const REFUSALS = {
  unread:
    "The disk has not told yet who may sign in. Until it does, everybody can look at the station itself, and nobody can change anything. Try again in a minute; if it lasts, look at the disk.",
  unreadable:
    "The station cannot read who may sign in. Stop it, and give a new passphrase on the station itself: npm run station -- passphrase",
} as const;
