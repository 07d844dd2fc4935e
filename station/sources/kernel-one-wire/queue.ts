/** One read of one probe, waiting for its turn or having it. */
interface Turn {
  readonly probe: string;
  readonly read: () => Promise<string>;
  readonly limitMs: number;
  readonly answer: (text: string) => void;
  readonly refuse: (error: Error) => void;
}

/**
 * The line in which all reads of 1-Wire probes stand. A conversion takes 0.75 s, the kernel does one at a time on a bus, and a
 * read waits inside the kernel until its own is done: a few probes read side by side, or one bus that hangs, would hold every
 * thread that Node.js has for files, and with them every other sensor, the serial board and the pages. So there is one read
 * at a time, of all probes of all buses, and never more than one thread held.
 *
 * A read that does not come back within its limit cannot be called off. It is given up, and so is every read that waits
 * behind it; until it has come back, each new one is refused at once, because it would get stuck in the same place.
 */
export class OneWireQueue {
  readonly #waiting: Turn[] = [];
  #inHand: Turn | null = null;
  #overdue = false;

  /**
   * Reads when the reads asked for earlier are over. The limit, in milliseconds, counts from then on.
   * Rejects with what the read threw, or with ETIMEDOUT where this read or the one before it does not come back.
   */
  read(probe: string, read: () => Promise<string>, limitMs: number): Promise<string> {
    return new Promise((answer, refuse) => {
      const turn = { probe, read, limitMs, answer, refuse };
      if (this.#overdue && this.#inHand !== null) return refuse(behind(turn, this.#inHand));
      this.#waiting.push(turn);
      this.#next();
    });
  }

  /** Takes back the reads of a probe that have not begun; they reject. */
  withdraw(probe: string): void {
    const going = this.#waiting.filter((turn) => turn.probe === probe);
    const staying = this.#waiting.filter((turn) => turn.probe !== probe);
    this.#waiting.splice(0, this.#waiting.length, ...staying);
    for (const turn of going) turn.refuse(new Error(`the read of ${probe} was taken back`));
  }

  #next(): void {
    if (this.#inHand !== null) return;
    const turn = this.#waiting.shift();
    if (turn === undefined) return;
    this.#inHand = turn;
    const watchdog = setTimeout(() => {
      this.#overdue = true;
      turn.refuse(timedOut(`no answer within ${turn.limitMs / 1000} s`));
      for (const other of this.#waiting.splice(0)) other.refuse(behind(other, turn));
    }, turn.limitMs);
    void readNow(turn).finally(() => {
      clearTimeout(watchdog);
      this.#inHand = null;
      this.#overdue = false;
      this.#next();
    });
  }
}

/** A late answer goes to nobody: its promise was rejected at the limit. */
async function readNow({ read, answer, refuse }: Turn): Promise<void> {
  try {
    answer(await read());
  } catch (error) {
    refuse(error instanceof Error ? error : new Error(String(error)));
  }
}

function behind(turn: Turn, stuck: Turn): Error {
  return timedOut(
    turn.probe === stuck.probe
      ? "the last read has still not come back"
      : `not read, because the read of ${stuck.probe} has not come back and only one goes at a time`,
  );
}

function timedOut(words: string): Error {
  return Object.assign(new Error(words), { code: "ETIMEDOUT" });
}

const queues = new Map<string, OneWireQueue>();

/** The one queue of this process for the kernel below `sysRoot`. */
export function oneWireQueue(sysRoot: string): OneWireQueue {
  const queue = queues.get(sysRoot) ?? new OneWireQueue();
  queues.set(sysRoot, queue);
  return queue;
}
