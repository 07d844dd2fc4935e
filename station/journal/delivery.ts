import { AppError } from "../errors.js";
import type { Reading } from "../model/reading.js";
import { deriveHealth, type HealthFacts, type JournalHealth, notWritingBecause } from "./health.js";
import type {
  Action,
  ActionResult,
  Parcel,
  Receipt,
  SessionStart,
  TroubleNotice,
  WriterCalls,
} from "./protocol.js";
import { createQueue } from "./queue.js";
import { errorOf } from "./refusal.js";
import { startThread, type Thread, ThreadEnded } from "./thread.js";

/** All in milliseconds or readings. */
export interface JournalTuning {
  /** A reading waits at most this long for others before it is sent to be committed. */
  readonly commitEveryMs: number;
  readonly parcelReadings: number;
  readonly mostReadings: number;
  /** How long SQLite waits for another program's lock before the commit counts as failed and is tried again. */
  readonly busyTimeoutMs: number;
  /** First pause after a failed commit or an ended thread; doubled up to 10 s and 30 s. */
  readonly retryMs: number;
  /** How long `close` waits for what is held to be committed. */
  readonly closeWithinMs: number;
}

export const TUNING: JournalTuning = {
  commitEveryMs: 2000,
  parcelReadings: 2000,
  mostReadings: 600_000,
  busyTimeoutMs: 5000,
  retryMs: 500,
  closeWithinMs: 10_000,
};

/** Parcels on their way at once: enough to keep the thread busy, few enough that little is copied twice. */
const ON_THEIR_WAY = 4;
const LONGEST_RESTART_MS = 30_000;
const WATCH_MS = 1000;

export interface DeliveryOptions {
  readonly folder: string;
  readonly session: SessionStart;
  readonly workerUrl: URL;
  readonly tuning: JournalTuning;
  /** Monotonic milliseconds. */
  readonly now: () => number;
  /** When writing stops or begins again, or stops for another reason. */
  readonly onHealth: (health: JournalHealth) => void;
}

/** Carries parcels to the writing thread, and starts a new thread where one ends. */
export interface Delivery {
  readonly session: number;
  add(readings: readonly Reading[]): void;
  act(action: Action): Promise<ActionResult>;
  health(): JournalHealth;
  close(): Promise<void>;
}

interface Awaiting {
  resolve(result: ActionResult): void;
  reject(error: unknown): void;
}

/** @throws AppError "sqlite-too-old", "journal-too-new", "journal-unusable" where the journal cannot be opened the first time */
export async function startDelivery(options: DeliveryOptions): Promise<Delivery> {
  const { folder, session, workerUrl, tuning, now, onHealth } = options;
  const queue = createQueue(tuning);
  const awaiting = new Map<number, Awaiting>();
  let link: Thread<WriterCalls> | null = null;
  let onTheirWay = 0;
  let trouble: string | null = null;
  let lastCommitMono: number | null = null;
  let waitingSinceMono: number | null = null;
  let lost = 0;
  let restarts = 0;
  let commitTimer: NodeJS.Timeout | null = null;
  let restartTimer: NodeJS.Timeout | null = null;
  let commitDue = false;
  let closing = false;
  let closed = false;
  let emptied: (() => void) | null = null;
  let told: string | null = null;
  let finished: Promise<void> | null = null;

  function facts(): HealthFacts {
    const dropped = queue.dropped + lost;
    return { now: now(), waiting: queue.waiting, dropped, lastCommitMono, waitingSinceMono, trouble, closed };
  }

  function tellHealth(): void {
    const current = facts();
    // The length of a stall grows from one look to the next; that it stalls is told once.
    const because = notWritingBecause(current) === null ? null : (trouble ?? "stalled");
    if (because === told) return;
    told = because;
    onHealth(deriveHealth(current));
  }

  async function connect(): Promise<{ thread: Thread<WriterCalls>; number: number }> {
    const thread = startThread<WriterCalls>(workerUrl, {
      onNotice(notice) {
        if (link !== thread) return;
        trouble = (notice as TroubleNotice).trouble;
        tellHealth();
      },
      onEnded(why) {
        if (link === thread) threadEnded(why);
      },
    });
    try {
      const { busyTimeoutMs, retryMs } = tuning;
      const opened = await thread.call("open", { folder, session, busyTimeoutMs, retryMs });
      return { thread, number: opened.session };
    } catch (error) {
      await thread.stop();
      if (error instanceof ThreadEnded)
        throw new AppError("journal-unusable", `The journal's thread: ${error.message}.`);
      throw error;
    }
  }

  function threadEnded(why: string): void {
    link = null;
    onTheirWay = 0;
    queue.rewind();
    restartLater(`its thread ended (${why}) and is started again`);
  }

  function restartLater(why: string): void {
    trouble = why;
    tellHealth();
    const pause = Math.min(LONGEST_RESTART_MS, tuning.retryMs * 2 ** Math.min(restarts, 10));
    restarts++;
    restartTimer = setTimeout(restart, pause);
  }

  async function restart(): Promise<void> {
    restartTimer = null;
    try {
      const { thread } = await connect();
      if (closed) {
        await thread.stop();
        return;
      }
      link = thread;
      if (queue.empty) trouble = null;
      pump();
    } catch (error) {
      if (!closed) restartLater(error instanceof Error ? error.message : String(error));
    }
    tellHealth();
  }

  function pump(): void {
    while (link !== null && onTheirWay < ON_THEIR_WAY) {
      let parcel = queue.next();
      if (parcel === null && (commitDue || closing)) {
        queue.wrap(null);
        parcel = queue.next();
      }
      if (parcel === null) break;
      send(link, parcel);
    }
    if (queue.gathered === 0) stopCommitTimer();
  }

  function send(thread: Thread<WriterCalls>, parcel: Parcel): void {
    onTheirWay++;
    thread.call("commit", parcel).then(
      (receipt) => received(thread, parcel.number, receipt),
      (error: unknown) => {
        // After the end of the thread the parcel is still in the queue and will be sent again.
        if (error instanceof ThreadEnded) return;
        const readings = parcel.readings?.count ?? 0;
        received(thread, parcel.number, {
          result: null,
          refused: { code: null, detail: String(error) },
          lost: readings,
        });
      },
    );
  }

  function received(thread: Thread<WriterCalls>, number: number, receipt: Receipt): void {
    if (link !== thread) return;
    onTheirWay--;
    restarts = 0;
    trouble = null;
    lost += receipt.lost;
    lastCommitMono = now();
    queue.settled(number);
    if (queue.empty) waitingSinceMono = null;
    const waiting = awaiting.get(number);
    awaiting.delete(number);
    if (receipt.refused === null) waiting?.resolve(receipt.result);
    else waiting?.reject(errorOf(receipt.refused));
    pump();
    tellHealth();
    if (queue.empty) emptied?.();
  }

  function stopCommitTimer(): void {
    if (commitTimer !== null) clearTimeout(commitTimer);
    commitTimer = null;
    commitDue = false;
  }

  function startCommitTimer(): void {
    if (commitTimer !== null || queue.gathered === 0) return;
    commitTimer = setTimeout(() => {
      commitDue = true;
      pump();
    }, tuning.commitEveryMs);
  }

  const first = await connect();
  link = first.thread;
  const watch = setInterval(tellHealth, WATCH_MS).unref();

  /** Until nothing is held, or the time is up. */
  function whenEmpty(): Promise<void> {
    return new Promise((resolve) => {
      const timer = setTimeout(resolve, tuning.closeWithinMs);
      emptied = () => {
        clearTimeout(timer);
        resolve();
      };
      if (queue.empty) emptied();
    });
  }

  async function finish(): Promise<void> {
    closing = true;
    pump();
    await whenEmpty();
    closed = true;
    clearInterval(watch);
    stopCommitTimer();
    if (restartTimer !== null) clearTimeout(restartTimer);
    for (const number of queue.abandon()) {
      awaiting
        .get(number)
        ?.reject(new AppError("journal-closed", "The journal was closed before this was written."));
    }
    awaiting.clear();
    const thread = link;
    link = null;
    await thread?.stop();
  }

  return {
    session: first.number,
    add(readings) {
      if (closing) {
        lost += readings.length;
        return;
      }
      waitingSinceMono ??= readings.length > 0 ? now() : null;
      queue.add(readings);
      startCommitTimer();
      pump();
    },
    act(action) {
      return new Promise((resolve, reject) => {
        if (closing) {
          reject(new AppError("journal-closed", "The journal has been closed."));
          return;
        }
        waitingSinceMono ??= now();
        const number = queue.wrap(action);
        if (number !== null) awaiting.set(number, { resolve, reject });
        pump();
      });
    },
    health: () => deriveHealth(facts()),
    close: () => {
      finished ??= finish();
      return finished;
    },
  };
}
