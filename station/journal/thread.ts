import { setPriority } from "node:os";
import { parentPort, type ResourceLimits, Worker } from "node:worker_threads";
import type { Refusal } from "./protocol.js";
import { errorOf, refusalOf } from "./refusal.js";

/** Calls by name, with what each takes and answers. */
export type CallMap<M> = { [K in keyof M]: { params: unknown; result: unknown } };

interface Request {
  readonly call: number;
  readonly name: string;
  readonly params: unknown;
}
type Reply =
  | { readonly call: number; readonly result: unknown }
  | { readonly call: number; readonly refused: Refusal };
type Message = Reply | { readonly notice: unknown } | typeof PONG;
/** To the thread, out of turn: finish what you are at, leave the rest, and end. */
const END = "end";
/** The same: say that you are alive. What waits between two tries does so; what hangs in the kernel does not. */
const PING = "ping";
const PONG = "pong";

/** A thread that does not end within this is left to itself: it hangs on a disk that does not answer. */
const END_WITHIN_MS = 10_000;

/** Every call that was unanswered when its thread ended fails with this; whether it was carried out is not known. */
export class ThreadEnded extends Error {
  override readonly name = "ThreadEnded";
}

export interface Thread<M extends CallMap<M>> {
  /**
   * Calls are carried out one after another, in the order they were made.
   * @throws AppError what the other side threw; ThreadEnded
   */
  call<K extends keyof M & string>(name: K, params: M[K]["params"]): Promise<M[K]["result"]>;
  /** Has the thread say that it is alive, out of turn: see `ThreadWatch.onAlive`. */
  ping(): void;
  /**
   * Has the thread end itself once it has finished the call it is at; the others fail with ThreadEnded. It is never
   * terminated from outside: better-sqlite3 aborts the whole process when a statement fails in a thread being terminated.
   */
  stop(): Promise<void>;
}

export interface ThreadWatch {
  onNotice?(notice: unknown): void;
  /** It has answered a ping. */
  onAlive?(): void;
  /** Once, after every unanswered call has failed. */
  onEnded?(why: string): void;
}

interface Waiting {
  resolve(result: unknown): void;
  reject(error: unknown): void;
}

/**
 * For a thread that drops what it reads a moment later, as an export does: with the room that a thread is given by itself it piles
 * up to a hundred megabytes before it is cleared away.
 */
export const LITTLE_MEMORY: ResourceLimits = { maxYoungGenerationSizeMb: 3, maxOldGenerationSizeMb: 64 };

/** @param resourceLimits of its memory; by itself it takes what a program of its own would */
export function startThread<M extends CallMap<M>>(
  url: URL,
  { onNotice, onAlive, onEnded }: ThreadWatch = {},
  resourceLimits: ResourceLimits = {},
): Thread<M> {
  const worker = new Worker(url, { resourceLimits });
  const unanswered = new Map<number, Waiting>();
  let calls = 0;
  let fault = "";
  let ended: ThreadEnded | null = null;

  worker.on("message", (message: Message) => {
    if (message === PONG) {
      onAlive?.();
      return;
    }
    if ("notice" in message) {
      onNotice?.(message.notice);
      return;
    }
    const waiting = unanswered.get(message.call);
    unanswered.delete(message.call);
    if ("refused" in message) waiting?.reject(errorOf(message.refused));
    else waiting?.resolve(message.result);
  });
  worker.on("error", (error: unknown) => {
    fault = error instanceof Error ? error.message : String(error);
  });
  worker.on("exit", (exitCode) => {
    const why = fault === "" ? `it ended with code ${exitCode}` : fault;
    ended = new ThreadEnded(why);
    for (const { reject } of unanswered.values()) reject(ended);
    unanswered.clear();
    onEnded?.(why);
  });

  return {
    call(name, params) {
      return new Promise((resolve, reject) => {
        if (ended !== null) {
          reject(ended);
          return;
        }
        calls++;
        unanswered.set(calls, { resolve, reject });
        const request: Request = { call: calls, name, params };
        worker.postMessage(request);
      });
    },
    ping() {
      if (ended === null) worker.postMessage(PING);
    },
    stop() {
      return new Promise((resolve) => {
        if (ended !== null) {
          resolve();
          return;
        }
        const timer = setTimeout(() => {
          worker.unref();
          resolve();
        }, END_WITHIN_MS);
        worker.once("exit", () => {
          clearTimeout(timer);
          resolve();
        });
        worker.postMessage(END);
      });
    },
  };
}

export type Answers<M extends CallMap<M>> = {
  readonly [K in keyof M]: (params: M[K]["params"]) => M[K]["result"] | Promise<M[K]["result"]>;
};

export interface ThreadSide {
  /** Sends something unasked. */
  notify(notice: unknown): void;
  /** Aborted when the thread is to end: a call that waits gives up waiting. */
  readonly ending: AbortSignal;
}

/** The nice value of a thread that gives way: a tenth of the weight of the others where the processor is short (sched(7)). */
const GIVING_WAY = 10;

/**
 * Called inside a thread that answers people's questions, or copies: where the processor is short, readings, commits and alarms
 * go first. On Linux the priority is that of the calling thread alone; where it may not be lowered the thread goes on as it is.
 */
export function giveWay(): void {
  try {
    setPriority(0, GIVING_WAY);
  } catch {
    // A sandbox may forbid it.
  }
}

/**
 * The other end of `startThread`, inside the thread.
 * @param onEnd last thing before the thread ends
 */
export function answerCalls<M extends CallMap<M>>(answers: Answers<M>, onEnd: () => void): ThreadSide {
  const port = parentPort;
  if (port === null) throw new Error("This module is the start of a worker thread and runs nowhere else.");
  const ending = new AbortController();

  async function answer({ call, name, params }: Request): Promise<void> {
    if (ending.signal.aborted) return;
    try {
      port?.postMessage({ call, result: await answers[name as keyof M](params) } satisfies Reply);
    } catch (error) {
      if (!ending.signal.aborted) port?.postMessage({ call, refused: refusalOf(error) } satisfies Reply);
    }
  }

  let last: Promise<void> = Promise.resolve();
  port.on("message", (request: Request | typeof END | typeof PING) => {
    if (request === PING) {
      port.postMessage(PONG);
      return;
    }
    if (request !== END) {
      last = last.then(() => answer(request));
      return;
    }
    ending.abort();
    void last.then(() => {
      onEnd();
      port.close();
    });
  });
  return { notify: (notice) => port.postMessage({ notice }), ending: ending.signal };
}
