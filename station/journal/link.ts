import { AppError, type ErrorCode } from "../errors.js";
import type { FileIdentity, SessionStart, TroubleNotice, UnsealedNotice, WriterCalls } from "./protocol.js";
import { startThread, type Thread, ThreadEnded } from "./thread.js";

/** Trying again cannot help while the station is running. */
const REFUSALS: ReadonlySet<ErrorCode> = new Set([
  "sqlite-too-old",
  "journal-too-new",
  "journal-in-use",
  "journal-unusable",
]);
const LONGEST_RESTART_MS = 30_000;

export interface LinkOptions {
  readonly folder: string;
  readonly session: SessionStart;
  /** The compiled writer-thread.js. */
  readonly workerUrl: URL;
  readonly busyTimeoutMs: number;
  readonly retryMs: number;
  readonly reopenMs: number;
  readonly sealEveryMs: number;
  /** The journal is open in this thread, the first time or again. */
  opened(thread: Thread<WriterCalls>, session: number): void;
  /** What is wrong, in words; null once it has passed. */
  trouble(words: string | null): void;
  /** Why old readings could not be sealed, in words; null once they could. */
  unsealed(words: string | null): void;
  /** The thread is gone; what was on its way to it was carried out or not. */
  lost(): void;
  /** The journal is refused for good, before it has been open. */
  refused(error: AppError): void;
}

/** Keeps a writing thread with the journal open in it, and starts another where one ends. */
export interface Link {
  /** The thread does its work: the next pause before a new one is a short one again. */
  works(): void;
  stop(): Promise<void>;
}

export function createLink(options: LinkOptions): Link {
  const { folder, session, workerUrl, busyTimeoutMs, retryMs, reopenMs, sealEveryMs } = options;
  let current: Thread<WriterCalls> | null = null;
  let file: FileIdentity | null = null;
  let restarts = 0;
  let timer: NodeJS.Timeout | null = null;
  let stopped = false;

  async function start(): Promise<void> {
    timer = null;
    const thread = startThread<WriterCalls>(workerUrl, {
      onNotice(notice) {
        if (current !== thread) return;
        const told = notice as TroubleNotice | UnsealedNotice;
        if ("trouble" in told) options.trouble(told.trouble);
        else options.unsealed(told.unsealed);
      },
      onEnded(why) {
        if (current !== thread) return;
        current = null;
        options.lost();
        startLater(`its thread ended (${why}) and is started again`);
      },
    });
    current = thread;
    try {
      const opening = { folder, session, busyTimeoutMs, retryMs, reopenMs, sealEveryMs, file };
      const opened = await thread.call("open", opening);
      if (current !== thread) return;
      file = opened.file;
      options.opened(thread, opened.session);
    } catch (error) {
      // `onEnded` has seen to it.
      if (error instanceof ThreadEnded) return;
      current = null;
      await thread.stop();
      if (stopped) return;
      if (file === null && error instanceof AppError && REFUSALS.has(error.code)) options.refused(error);
      else startLater(error instanceof Error ? error.message : String(error));
    }
  }

  function startLater(why: string): void {
    options.trouble(why);
    const pause = Math.min(LONGEST_RESTART_MS, retryMs * 2 ** Math.min(restarts, 10));
    restarts++;
    timer = setTimeout(() => void start(), pause);
  }

  void start();

  return {
    works() {
      restarts = 0;
    },
    async stop() {
      stopped = true;
      if (timer !== null) clearTimeout(timer);
      const thread = current;
      current = null;
      await thread?.stop();
    },
  };
}
