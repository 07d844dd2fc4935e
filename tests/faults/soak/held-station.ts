import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { asked, type Replied } from "../../service/asked.js";

const MAIN = join(process.cwd(), ".build/station/main.js");
const HELD_CLOCK = new URL("./held-clock.mjs", import.meta.url).href;
/** How far the clock is let go while something that may wait for it is waited for, milliseconds. */
const NUDGE_MS = 250;
/** Real milliseconds after which a station that does not answer is a failure. */
const PATIENCE_MS = 120_000;

/** What a station's clocks show: milliseconds, and whether the system says that the wall clock is set. */
export interface HeldTime {
  readonly mono: number;
  readonly wall: number;
  readonly synchronised: boolean;
}

/** After a collection of what is no longer used; bytes and counts. */
export interface Measured {
  readonly heapUsed: number;
  readonly external: number;
  readonly rss: number;
  readonly handles: number;
  readonly files: number;
  readonly threads: number;
  readonly timers: number;
}

interface Order {
  /** Monotonic milliseconds that the clock is to go to. */
  readonly to?: number;
  /** Bytes that were sent to its terminals since its start: the clock waits until they are read. */
  readonly bytes?: number;
  /** What the wall clock is set to at once. */
  readonly wall?: number;
  readonly synchronised?: boolean;
  readonly measure?: boolean;
}

interface Answer {
  readonly mono: number;
  readonly bytesRead: number;
  /** How often bytes were waited for in vain. */
  readonly heldUp: number;
  readonly measured?: Measured;
}

/** The built station, as it is, in a process of its own whose time is held. */
export interface HeldStation {
  readonly url: string;
  readonly pid: number;
  /** Real milliseconds from its start until it runs. */
  readonly openedMs: number;
  readonly mono: number;
  readonly bytesRead: number;
  readonly heldUp: number;
  output(): string;
  order(order: Order): Promise<void>;
  measure(): Promise<Measured>;
  /** Asks it; where the answer has to wait for time to pass, time passes. */
  ask(method: string, path: string, body?: unknown): Promise<Replied>;
  get<T>(path: string): Promise<T>;
  /** Whether it has ended by itself. */
  readonly ended: boolean;
  /** SIGKILL. Resolves once it is gone. */
  kill(): Promise<void>;
  /** SIGTERM, and the clock goes on until it has ended; the exit code. */
  stop(): Promise<number | null>;
}

export interface HeldStart {
  readonly args: readonly string[];
  readonly cwd: string;
  readonly at: HeldTime;
  readonly boot: string;
  /** A command that becomes the station's: the way to a disk of its own. */
  readonly through?: readonly string[];
  readonly env?: Readonly<Record<string, string>>;
}

export async function startHeld({
  args,
  cwd,
  at,
  boot,
  through = [],
  env = {},
}: HeldStart): Promise<HeldStation> {
  const begun = performance.now();
  const node = [process.execPath, "--max-semi-space-size=1", "--import", HELD_CLOCK, MAIN, ...args];
  const [program = "", ...words] = [...through, ...node];
  const child: ChildProcess = spawn(program, words, {
    cwd,
    env: {
      ...process.env,
      ...env,
      MALLOC_ARENA_MAX: "2",
      UV_THREADPOOL_SIZE: "16",
      HELD_CLOCK: JSON.stringify({ ...at, boot }),
    },
    stdio: ["ignore", "pipe", "pipe", "ipc"],
  });
  let output = "";
  let url: string | null = null;
  let ended = false;
  const hear = (data: Buffer) => {
    output = (output + data.toString()).slice(-400_000);
    url ??= /url=(http:\/\/\S+)/.exec(output)?.[1] ?? null;
  };
  child.stdout?.on("data", hear);
  child.stderr?.on("data", hear);
  const gone = once(child, "exit").then(([code]) => {
    ended = true;
    for (const refuse of waiting.splice(0))
      refuse.no(new Error(`the station ended with ${code}:\n${output.slice(-3000)}`));
    return code as number | null;
  });
  const waiting: { readonly yes: (answer: Answer) => void; readonly no: (error: Error) => void }[] = [];
  child.on("message", (answer) => waiting.shift()?.yes(answer as Answer));
  child.on("error", () => undefined);

  let last: Answer = { mono: at.mono, bytesRead: 0, heldUp: 0 };
  async function order(given: Order): Promise<Answer> {
    if (ended || !child.connected) throw new Error(`the station has ended:\n${output.slice(-3000)}`);
    const answered = new Promise<Answer>((yes, no) => waiting.push({ yes, no }));
    child.send(given, () => undefined);
    last = await answered;
    return last;
  }
  /** Lets the clock go on until it is over: what is waited for may wait for a moment to come. */
  async function until<T>(work: Promise<T>, ms: number): Promise<T> {
    let over = false;
    const done = work.finally(() => {
      over = true;
    });
    done.catch(() => undefined);
    const end = performance.now() + PATIENCE_MS;
    for (let wait = 20; ; wait = 5) {
      await Promise.race([done.catch(() => undefined), pause(wait)]);
      if (over) return done;
      if (performance.now() > end) throw new Error(`waited in vain for the station:\n${output.slice(-3000)}`);
      if (!ended) await order({ to: last.mono + ms }).catch(() => undefined);
    }
  }

  const up = async () => {
    while (url === null && !ended) await pause(1);
    if (url === null) throw new Error(`the station ended:\n${output}`);
  };
  await until(up(), 0);
  const openedMs = performance.now() - begun;

  return {
    url: url as unknown as string,
    pid: child.pid as number,
    openedMs,
    get mono() {
      return last.mono;
    },
    get bytesRead() {
      return last.bytesRead;
    },
    get heldUp() {
      return last.heldUp;
    },
    get ended() {
      return ended;
    },
    output: () => output,
    order: async (given) => void (await order(given)),
    async measure() {
      const { measured } = await order({ measure: true });
      return measured as Measured;
    },
    ask: (method, path, body) => until(asked(method, `${url}${path}`, body), NUDGE_MS),
    async get<T>(path: string) {
      const { status, body } = await until(asked("GET", `${url}${path}`), NUDGE_MS);
      if (status !== 200) throw new Error(`${path}: ${status} ${JSON.stringify(body)}`);
      return body as T;
    },
    async kill() {
      child.kill("SIGKILL");
      await gone;
    },
    async stop() {
      child.kill("SIGTERM");
      return until(gone, NUDGE_MS);
    },
  };
}
