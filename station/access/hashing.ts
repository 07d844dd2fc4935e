import { AppError } from "../errors.js";

/**
 * OWASP Password Storage Cheat Sheet (from memory): Argon2id with at least 19 MiB, two passes, one lane. Argon2id is what
 * RFC 9106 section 4 tells to take, and what the library takes unless told otherwise.
 */
export const ARGON2 = {
  memoryCost: 19 * 1024,
  timeCost: 2,
  parallelism: 1,
} as const;

/** Each takes 19 MiB and one of two to four cores for a tenth of a second and more. */
const MOST_AT_ONCE = 2;
/** Those from the network that may wait; who stands at the station itself always may. */
const MOST_WAITING = 8;

export interface Hashing {
  /** @throws AppError `sign-in-busy` where too many wait already, and this one is not of the station's own screen */
  make(secret: string, here: boolean): Promise<string>;
  /** Whether the secret is the one that was hashed; false too for a hash that is none. @throws AppError `sign-in-busy` */
  fits(hashed: string | null, secret: string, here: boolean): Promise<boolean>;
  /** How many were reckoned since the start. */
  count(): number;
}

interface Argon2 {
  hash(secret: string): Promise<string>;
  verify(hashed: string, secret: string): Promise<boolean>;
}

/** Loaded when first asked for: a station without a passphrase has no need of its memory. */
const library = () => import("@node-rs/argon2");
const ON_OTHER_THREADS: Argon2 = {
  hash: async (secret) => (await library()).hash(secret, ARGON2),
  verify: async (hashed, secret) => (await library()).verify(hashed, secret),
};

/**
 * Passphrases and PINs are hashed on other threads, two at a time. Whoever sits at the station comes first, so that nobody on the
 * network can keep the owner from signing in there.
 */
export function createHashing(argon2: Argon2 = ON_OTHER_THREADS): Hashing {
  let running = 0;
  let counted = 0;
  const waitingHere: (() => void)[] = [];
  const waiting: (() => void)[] = [];
  let nobodys: Promise<string> | null = null;

  async function inTurn<T>(here: boolean, work: () => Promise<T>): Promise<T> {
    if (running >= MOST_AT_ONCE) {
      if (!here && waiting.length >= MOST_WAITING) {
        throw new AppError("sign-in-busy", "Many want to sign in at once. Try again in a minute.");
      }
      await new Promise<void>((go) => (here ? waitingHere : waiting).push(go));
    } else running += 1;
    try {
      counted += 1;
      return await work();
    } finally {
      const next = waitingHere.shift() ?? waiting.shift();
      // The place is handed on, and not given back, so that nobody slips in between.
      if (next === undefined) running -= 1;
      else next();
    }
  }

  return {
    make: (secret, here) => inTurn(here, () => argon2.hash(normal(secret))),
    async fits(hashed, secret, here) {
      // A name that nobody has takes as long as one that somebody has.
      nobodys ??= argon2.hash("nobody has this one");
      const against = hashed ?? (await nobodys);
      const fits = await inTurn(here, () => argon2.verify(against, normal(secret)).catch(() => false));
      return fits && hashed !== null;
    },
    count: () => counted,
  };
}

/** One keyboard writes ü as one character and another as two. */
function normal(secret: string): string {
  return secret.normalize("NFKC");
}
