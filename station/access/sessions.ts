import { type Role, rankOf } from "../model/access.js";
import type { ClockState } from "../model/instant.js";
import type { AccessFile, KeptSession } from "./file.js";

const DAY_MS = 86_400_000;
/** A phone that lies in a drawer over the holidays need not be paired again; one that was lost goes by itself. */
export const LONGEST_IDLE_MS = 30 * DAY_MS;
export const LONGEST_AGE_MS = 180 * DAY_MS;
/** Of one person; of more the one of theirs that was used longest ago is ended, and never anybody else's. */
const MOST_OF_ONE = 20;

/** A session while the station runs: times are monotonic, and may lie before this boot. */
export interface Session extends Omit<KeptSession, "ageMs" | "idleMs"> {
  readonly sinceMono: number;
  readonly usedMono: number;
  /** When somebody last did something with what the PIN allows; null where no PIN was given. */
  readonly raisedMono: number | null;
}

type NewSession = Omit<Session, "sinceMono" | "usedMono" | "raisedMono">;

export interface Sessions {
  all(): readonly Session[];
  add(session: NewSession, mono: number): Session;
  /** The session with this sum of a token; null where there is none, or it has ended by itself. */
  find(sum: string, mono: number): Session | null;
  byId(id: string): Session | null;
  used(id: string, mono: number): void;
  /** @param mono null lowers it again */
  raise(id: string, mono: number | null): void;
  /** Ends those that fit. @returns the ids of those that were ended */
  end(fits: (session: Session) => boolean): readonly string[];
}

export function hasEnded({ sinceMono, usedMono }: Session, mono: number): boolean {
  return mono - sinceMono > LONGEST_AGE_MS || mono - usedMono > LONGEST_IDLE_MS;
}

/**
 * The sessions by the sum of their token. Everything is reckoned in monotonic time: a clock that is set wrongly ends none and
 * keeps none.
 */
export function createSessions(kept: readonly Session[]): Sessions {
  const sessions = new Map(kept.map((session) => [session.id, session]));
  const change = (id: string, what: Partial<Session>) => {
    const session = sessions.get(id);
    if (session !== undefined) sessions.set(id, { ...session, ...what });
  };
  const found = (sum: string) => [...sessions.values()].find((session) => session.sum === sum) ?? null;

  return {
    all: () => [...sessions.values()],
    add(session, mono) {
      const made = { ...session, sinceMono: mono, usedMono: mono, raisedMono: null };
      sessions.set(made.id, made);
      const own = [...sessions.values()].filter(
        // Without a person: the screens on the wall are one, and the phones that were let in there another.
        ({ person, kind }) => person === made.person && (person !== null || kind === made.kind),
      );
      own.sort((a, b) => a.usedMono - b.usedMono);
      for (const { id } of own.slice(0, Math.max(0, own.length - MOST_OF_ONE))) sessions.delete(id);
      return made;
    },
    find(sum, mono) {
      const session = found(sum);
      return session === null || hasEnded(session, mono) ? null : session;
    },
    byId: (id) => sessions.get(id) ?? null,
    used: (id, mono) => change(id, { usedMono: mono }),
    raise: (id, mono) => change(id, { raisedMono: mono }),
    end(fits) {
      const ended = [...sessions.values()].filter(fits).map(({ id }) => id);
      for (const id of ended) sessions.delete(id);
      return ended;
    },
  };
}

interface Now {
  readonly wall: number;
  readonly mono: number;
  readonly boot: string;
  readonly clock: ClockState;
}

/**
 * How long ago the file was written, milliseconds: within one boot by the monotonic clock, over a boot by the wall clock if it was
 * right then and is right now. What nobody knows counts as nothing: a session then lasts longer by the time the machine was off.
 */
export function pastSince(written: AccessFile["written"], now: Now): number {
  if (written.boot === now.boot) return Math.max(0, now.mono - written.mono);
  if (written.clock !== "synchronised" || now.clock !== "synchronised") return 0;
  return Math.max(0, now.wall - written.wall);
}

/** Sessions as they were kept, in the time of this boot. */
export function sessionsOf(file: AccessFile, now: Now): Session[] {
  const past = pastSince(file.written, now);
  return file.sessions
    .map(({ ageMs, idleMs, ...rest }) => ({
      ...rest,
      sinceMono: now.mono - past - ageMs,
      usedMono: now.mono - past - idleMs,
      raisedMono: null,
    }))
    .filter((session) => !hasEnded(session, now.mono));
}

export function keptOf(session: Session, mono: number): KeptSession {
  const { sinceMono, usedMono, raisedMono: _, ...rest } = session;
  return { ...rest, ageMs: Math.max(0, mono - sinceMono), idleMs: Math.max(0, mono - usedMono) };
}

/** What a session may: what its person may, at most what it was made for, and operate where a PIN has raised it. */
export function roleOf(session: Session, person: Role | null, raised: boolean): Role {
  const own = person === null || rankOf(session.most) < rankOf(person) ? session.most : person;
  return raised && rankOf(own) < rankOf("operator") ? "operator" : own;
}
