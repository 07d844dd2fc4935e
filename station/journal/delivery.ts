import { AppError } from "../errors.js";
import type { Reading } from "../model/reading.js";
import { createCommitClock } from "./disk/commit-times.js";
import type { WalState } from "./disk/wal.js";
import {
  deriveHealth,
  type HealthFacts,
  type JournalHealth,
  notWritingBecause,
  STALLED_AFTER_MS,
} from "./health.js";
import { createHold } from "./hold.js";
import { createLink } from "./link.js";
import { type Promised, promised } from "./promised.js";
import type { Action, ActionResult, Parcel, Receipt, SessionStart, WriterCalls } from "./protocol.js";
import { createQueue } from "./queue.js";
import { errorOf } from "./refusal.js";
import { type Thread, ThreadEnded } from "./thread.js";
import type { JournalTuning } from "./tuning.js";

/** Parcels on their way at once: enough to keep the thread busy, few enough that little is copied twice. */
const ON_THEIR_WAY = 4;
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

/** Carries parcels to the writing thread, once and whenever the journal is open in it. */
export interface Delivery {
  /** Resolves when the journal has been opened the first time. @throws as `Journal.ready` */
  readonly ready: Promise<{ readonly session: number }>;
  readonly session: number | null;
  add(readings: readonly Reading[]): void;
  act(action: Action): Promise<ActionResult>;
  /** Resolves once all readings given so far are written, those that were held as well. @throws as `act` */
  flush(): Promise<void>;
  health(): JournalHealth;
  /** As `Journal.silentMs`. */
  silentMs(): number;
  close(): Promise<void>;
}

type Awaiting = Pick<Promised<ActionResult>, "resolve" | "reject">;

export function startDelivery(options: DeliveryOptions): Delivery {
  const { folder, session, workerUrl, tuning, now, onHealth } = options;
  const queue = createQueue(tuning);
  const hold = createHold(queue);
  const awaiting = new Map<number, Awaiting>();
  const begunMono = now();
  /** The thread while the journal is open in it. */
  let open: Thread<WriterCalls> | null = null;
  let sessionNumber: number | null = null;
  let refusal: AppError | null = null;
  let onTheirWay = 0;
  let trouble: string | null = null;
  let unsealed: string | null = null;
  let wal: WalState | null = null;
  const commits = createCommitClock();
  let lastCommitMono: number | null = null;
  let waitingSinceMono: number | null = null;
  let lost = 0;
  let commitTimer: NodeJS.Timeout | null = null;
  let commitDue = false;
  let closing = false;
  let closed = false;
  let emptied: (() => void) | null = null;
  let told: string | null = null;
  let finished: Promise<void> | null = null;

  const { promise: ready, resolve: isReady, reject: isRefused } = promised<{ readonly session: number }>();
  // Whoever looks at the health only need not handle the refusal as well.
  ready.catch(() => {});

  function facts(): HealthFacts {
    const { waiting, refused } = queue;
    const dropped = queue.dropped + lost;
    const opening = sessionNumber === null;
    const nowMono = now();
    return {
      now: nowMono,
      waiting,
      dropped,
      refused,
      lastCommitMono,
      waitingSinceMono,
      opening,
      trouble,
      unsealed,
      held: hold.on,
      commits: commits.recent(nowMono),
      wal,
      closed,
    };
  }

  function tellHealth(): void {
    const current = facts();
    const justBegun = current.opening && trouble === null && current.now - begunMono < STALLED_AFTER_MS;
    if (justBegun) return;
    // The length of a stall grows from one look to the next; that it stalls is told once.
    const writing = notWritingBecause(current) === null;
    const because = writing ? (hold.on ? "held" : null) : (trouble ?? "stalled");
    if (because === told) return;
    told = because;
    onHealth(deriveHealth(current));
  }

  const link = createLink({
    folder,
    session,
    workerUrl,
    tuning,
    opened(thread, number) {
      open = thread;
      hold.reopened();
      // The first opening has written something; one after that has only looked, and what waits will show.
      if (sessionNumber === null || queue.empty) trouble = null;
      sessionNumber ??= number;
      isReady({ session: sessionNumber });
      pump();
      tellHealth();
    },
    trouble(words) {
      trouble = words;
      tellHealth();
    },
    unsealed(words) {
      unsealed = words;
    },
    wal(state) {
      wal = state;
    },
    room() {
      hold.release();
      pump();
    },
    lost() {
      open = null;
      onTheirWay = 0;
      queue.rewind();
    },
    refused(error) {
      refusal = error;
      trouble = error.message;
      giveUp(error);
      isRefused(error);
      tellHealth();
      emptied?.();
    },
  });

  function giveUp(why: AppError): void {
    stopCommitTimer();
    for (const number of queue.abandon()) awaiting.get(number)?.reject(why);
    awaiting.clear();
    waitingSinceMono = null;
  }

  function pump(): void {
    if (hold.releasing && open !== null) {
      if (onTheirWay > 0) return;
      hold.giveAgain();
    }
    while (open !== null && onTheirWay < ON_THEIR_WAY) {
      let parcel = queue.next();
      if (parcel === null && (commitDue || closing)) {
        queue.wrap();
        parcel = queue.next();
      }
      if (parcel === null) break;
      send(open, parcel);
    }
    if (queue.gathered === 0) stopCommitTimer();
  }

  function send(thread: Thread<WriterCalls>, parcel: Parcel): void {
    onTheirWay++;
    const resume = hold.resumesWith(parcel);
    thread.call("commit", { parcel, resume, last: closing }).then(
      (receipt) => received(thread, parcel, receipt),
      (error: unknown) => {
        // After the end of the thread the parcel is still in the queue and will be sent again.
        if (error instanceof ThreadEnded) return;
        received(thread, parcel, {
          result: null,
          refused: { code: null, detail: String(error) },
          lost: parcel.readings?.count ?? 0,
          held: false,
          tookMs: null,
        });
      },
    );
  }

  function received(thread: Thread<WriterCalls>, parcel: Parcel, receipt: Receipt): void {
    if (open !== thread) return;
    const { number } = parcel;
    onTheirWay--;
    link.works();
    trouble = null;
    lost += receipt.lost;
    if (receipt.tookMs !== null) {
      lastCommitMono = now();
      commits.add(lastCommitMono, receipt.tookMs);
    }
    queue.settled(number, receipt.held);
    hold.answered(parcel, receipt);
    if (queue.idle) waitingSinceMono = null;
    const waiting = awaiting.get(number);
    awaiting.delete(number);
    if (receipt.refused === null) waiting?.resolve(receipt.result);
    else waiting?.reject(errorOf(receipt.refused));
    pump();
    tellHealth();
    // At the end, what there is no room for cannot be waited for.
    if (queue.empty || (queue.idle && closing && !hold.releasing)) emptied?.();
  }

  function act(action: Action): Promise<ActionResult> {
    return new Promise((resolve, reject) => {
      if (closing) throw new AppError("journal-closed", "The journal has been closed.");
      if (refusal !== null) throw refusal;
      const number = queue.act(action);
      if (number === null) {
        tellHealth();
        throw new AppError(
          "journal-unusable",
          `This was not kept, because ${tuning.mostActions} entries are waiting for the journal to be written already.`,
        );
      }
      waitingSinceMono ??= now();
      awaiting.set(number, { resolve, reject });
      pump();
    });
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
    if (hold.on) hold.release();
    pump();
    await whenEmpty();
    closed = true;
    clearInterval(watch);
    open = null;
    const unwritten = new AppError("journal-closed", "The journal was closed before this was written.");
    giveUp(unwritten);
    hold.end();
    isRefused(unwritten);
    await link.stop();
  }

  return {
    ready,
    get session() {
      return sessionNumber;
    },
    add(readings) {
      if (closing || refusal !== null) {
        lost += readings.length;
        return;
      }
      waitingSinceMono ??= readings.length > 0 ? now() : null;
      queue.add(readings);
      startCommitTimer();
      pump();
    },
    act,
    async flush() {
      do {
        await hold.over();
        await act({ name: "flush", params: null });
      } while (hold.on || queue.holds);
    },
    health: () => deriveHealth(facts()),
    silentMs: () => link.silentMs(),
    close: () => {
      finished ??= finish();
      return finished;
    },
  };
}
