const FIRST_MS = 1000;
const LONGEST_MS = 30_000;

export interface RoundsParts {
  /** Does what there is to do, and tells why it has to be done again later; null where all is done. */
  readonly round: () => Promise<string | null>;
  readonly after: (ms: number, then: () => void) => () => void;
  readonly told: (why: string | null) => void;
}

export interface Rounds {
  /** Now, whatever was planned; once more where a round is under way. */
  now(): void;
  stop(): void;
}

/** One round at a time, and after one that did not get through another, each time after a longer while. */
export function createRounds({ round, after, told }: RoundsParts): Rounds {
  let running = false;
  let again = false;
  let wait = FIRST_MS;
  let cancel: (() => void) | null = null;

  async function run(): Promise<void> {
    running = true;
    let why: string | null;
    do {
      again = false;
      why = await round().catch((error: unknown) => String(error));
    } while (again);
    running = false;
    told(why);
    if (why === null) {
      wait = FIRST_MS;
      return;
    }
    cancel = after(wait, () => void run());
    wait = Math.min(LONGEST_MS, wait * 2);
  }

  return {
    now() {
      wait = FIRST_MS;
      if (running) {
        again = true;
        return;
      }
      cancel?.();
      cancel = null;
      void run();
    },
    stop() {
      cancel?.();
      cancel = null;
    },
  };
}
