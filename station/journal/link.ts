import { AppError, type ErrorCode } from "../errors.js";
import type { WalState } from "./disk/wal.js";
import type { FileIdentity, SessionStart, WriterCalls, WriterNotice } from "./protocol.js";
import { startThread, type Thread, ThreadEnded } from "./thread.js";
import type { JournalTuning } from "./tuning.js";

/** Trying again cannot help while the station is running. */
const REFUSALS: ReadonlySet<ErrorCode> = new Set([
  "sqlite-too-old",
  "journal-too-new",
  "journal-in-use",
  "journal-unusable",
  "records-damaged",
]);
const LONGEST_RESTART_MS = 30_000;

export interface LinkOptions {
  readonly folder: string;
  readonly session: SessionStart;
  /** The compiled writer-thread.js. */
  readonly workerUrl: URL;
  readonly tuning: JournalTuning;
  /** The journal is open in this thread, the first time or again. */
  opened(thread: Thread<WriterCalls>, session: number): void;
  /** What is wrong, in words; null once it has passed. */
  trouble(words: string | null): void;
  /** Why old readings could not be sealed, in words; null once they could. */
  unsealed(words: string | null): void;
  /** The state of the WAL. */
  wal(state: WalState): void;
  /** There is room again for readings that were held. */
  room(): void;
  /** The thread is gone; what was on its way to it was carried out or not. */
  lost(): void;
  /** The journal is refused for good, before it has been open. */
  refused(error: AppError): void;
}

/** Keeps a writing thread with the journal open in it, and starts another where one ends. */
export interface Link {
  /** The thread does its work: the next pause before a new one is a short one again. */
  works(): void;
  /**
   * For how long the thread has given no sign of life, milliseconds, as far as it was asked for one, which it is by this. One
   * that is being started gives none and counts as alive.
   */
  silentMs(): number;
  stop(): Promise<void>;
}

export function createLink(options: LinkOptions): Link {
  const { folder, session, workerUrl } = options;
  const { busyTimeoutMs, retryMs, reopenMs, sealEveryMs, lookEveryMs, reserveBytes } = options.tuning;
  let current: Thread<WriterCalls> | null = null;
  let file: FileIdentity | null = null;
  let restarts = 0;
  /** When the thread was first asked for a sign of life that has not come yet; null while none is owed. */
  let askedAt: number | null = null;
  let timer: NodeJS.Timeout | null = null;
  let stopped = false;

  async function start(): Promise<void> {
    timer = null;
    const thread = startThread<WriterCalls>(workerUrl, {
      onNotice(notice) {
        if (current !== thread) return;
        const told = notice as WriterNotice;
        if ("trouble" in told) options.trouble(told.trouble);
        else if ("unsealed" in told) options.unsealed(told.unsealed);
        else if ("wal" in told) options.wal(told.wal);
        else options.room();
      },
      onAlive() {
        if (current === thread) askedAt = null;
      },
      onEnded(why) {
        if (current !== thread) return;
        askedAt = null;
        current = null;
        options.lost();
        startLater(`its thread ended (${why}) and is started again`);
      },
    });
    current = thread;
    try {
      const opened = await thread.call("open", {
        ...{ folder, session, file },
        ...{ busyTimeoutMs, retryMs, reopenMs, sealEveryMs, lookEveryMs, reserveBytes },
      });
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
    silentMs() {
      if (current === null) return 0;
      const now = performance.now();
      if (askedAt === null) {
        askedAt = now;
        current.ping();
      }
      return now - askedAt;
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
