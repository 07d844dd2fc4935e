import { type ChildProcess, fork } from "node:child_process";
import { fileURLToPath } from "node:url";
import { AppError } from "../../errors.js";
import type { Refusal } from "../../journal/protocol.js";
import { errorOf } from "../../journal/refusal.js";
import type { PictureCalls } from "./calls.js";

export interface PictureRequest {
  readonly name: keyof PictureCalls;
  readonly params: PictureCalls[keyof PictureCalls]["params"];
}
export type PictureReply = { readonly result: unknown } | { readonly refused: Refusal };

export interface Pictures {
  /**
   * One after another, in the order they were asked for.
   * @throws AppError what the process refused it with; "photo-unreadable" where it ended twice or hung over this picture;
   * "photo-not-read" where the system ended it twice, after which the same may be sent again
   */
  call<K extends keyof PictureCalls>(
    name: K,
    params: PictureCalls[K]["params"],
  ): Promise<PictureCalls[K]["result"]>;
  /** Process id while there is one. */
  pid(): number | null;
  /** Resolves once what was asked for is done and the process has ended. Nothing may be asked for any more. */
  close(): Promise<void>;
}

export interface PicturesParts {
  /** The process ends when it had nothing to do for so long, and gives its memory back; the next picture starts another. */
  readonly idleMs: number;
  /** A picture over which it takes longer than this is given up, and the process with it. */
  readonly longestMs: number;
  /** The compiled picture-process.js; by default the one beside this module. */
  readonly url?: URL;
}

export const PICTURES: PicturesParts = { idleMs: 60_000, longestMs: 60_000 };

/**
 * All that the process is told. Whole pictures come and go in its memory: with a fixed threshold (mallopt(3)) each goes back to the
 * system when it is done with, and does not leave the heap in pieces.
 */
const ENVIRONMENT = {
  MALLOC_ARENA_MAX: "1",
  MALLOC_MMAP_THRESHOLD_: "131072",
  MALLOC_TRIM_THRESHOLD_: "131072",
};

/** The process that reads pictures, started when there is one to be read. */
export function createPictures({ idleMs, longestMs, url }: PicturesParts = PICTURES): Pictures {
  const module = fileURLToPath(url ?? new URL("./picture-process.js", import.meta.url));
  let child: ChildProcess | null = null;
  let last: Promise<unknown> = Promise.resolve();
  let waiting = 0;
  let idle: NodeJS.Timeout | null = null;

  function start(): ChildProcess {
    const started = fork(module, { execArgv: ["--max-semi-space-size=2"], env: ENVIRONMENT });
    started.once("exit", () => {
      if (child === started) child = null;
    });
    return started;
  }

  function ask(request: PictureRequest): Promise<unknown> {
    child ??= start();
    const asked = child;
    return new Promise((resolve, reject) => {
      let late = false;
      const tooLong = setTimeout(() => {
        late = true;
        asked.kill("SIGKILL");
      }, longestMs);
      const settle = (done: () => void) => {
        clearTimeout(tooLong);
        asked.off("message", answered).off("exit", ended).off("error", failed);
        done();
      };
      const answered = (reply: unknown) => {
        const message = reply as PictureReply;
        settle(() => ("refused" in message ? reject(errorOf(message.refused)) : resolve(message.result)));
      };
      const ended = () => settle(() => reject(new Ended(asked.signalCode, late)));
      const failed = (error: Error) => settle(() => reject(error));
      asked.on("message", answered).on("exit", ended).on("error", failed);
      asked.send(request, (error) => {
        // One that has just ended says so itself.
        if (error !== null && asked.exitCode === null && asked.signalCode === null) failed(error);
      });
    });
  }

  /** One that ended over a picture may have ended for want of memory, which there may be the next time: it is tried twice. */
  async function askTwice(request: PictureRequest): Promise<unknown> {
    try {
      return await ask(request);
    } catch (error) {
      if (!(error instanceof Ended)) throw error;
      if (error.late) throw gaveUp();
    }
    try {
      return await ask(request);
    } catch (error) {
      if (!(error instanceof Ended)) throw error;
      throw error.signal === "SIGKILL" && !error.late ? noMemory() : gaveUp();
    }
  }

  async function end(): Promise<void> {
    if (idle !== null) clearTimeout(idle);
    const ending = child;
    child = null;
    if (ending === null || ending.exitCode !== null || ending.signalCode !== null) return;
    await new Promise<void>((resolve) => {
      ending.once("exit", () => resolve());
      if (ending.connected) ending.disconnect();
    });
  }

  return {
    async call(name, params) {
      if (idle !== null) clearTimeout(idle);
      waiting += 1;
      const asked = last.then(() => askTwice({ name, params }));
      last = asked.catch(() => {});
      try {
        return (await asked) as PictureCalls[typeof name]["result"];
      } finally {
        waiting -= 1;
        if (waiting === 0) {
          idle = setTimeout(() => void end(), idleMs);
          idle.unref();
        }
      }
    },
    pid: () => child?.pid ?? null,
    async close() {
      await last;
      await end();
    },
  };
}

/** The process ended over a picture. */
class Ended extends Error {
  constructor(
    readonly signal: NodeJS.Signals | null,
    /** Because it took too long, and was told to. */
    readonly late: boolean,
  ) {
    super("The program that reads pictures ended.");
  }
}

/** What kills it unasked is the kernel, where memory has run out. */
function noMemory(): AppError {
  return new AppError(
    "photo-not-read",
    "There was not enough memory to read the photo. It is worth sending again in a while.",
  );
}

function gaveUp(): AppError {
  return new AppError(
    "photo-unreadable",
    "The program that reads pictures gave up on this one. Take the photo again, smaller; the others are not touched by it.",
  );
}
