import { AppError } from "../errors.js";
import type { Reading } from "../model/reading.js";
import { createAnswers } from "./answers.js";
import { takeBatch } from "./batch.js";
import { createCommitClock } from "./disk/commit-times.js";
import type { WalState } from "./disk/wal.js";
import { createDue } from "./due.js";
import { deriveHealth, type HealthFacts, healthTeller, type JournalHealth } from "./health.js";
import { createHold } from "./hold.js";
import { createLink } from "./link.js";
import { promised } from "./promised.js";
import type { Action, ActionResult, Parcel, Receipt, SessionStart, WriterCalls } from "./protocol.js";
import { createQueue } from "./queue.js";
import { cannotBeKept } from "./refusal.js";
import { type Thread, ThreadEnded } from "./thread.js";
import type { JournalTuning } from "./tuning.js";

/** Batches on their way at once: one is committed and the next is there already, and what comes after gathers for the one behind. */
const ON_THEIR_WAY = 2;
/** Full parcels of readings to a batch at most. */
const FULL_PARCELS = 2;
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

export function startDelivery(options: DeliveryOptions): Delivery {
  const { folder, session, workerUrl, tuning, now, onHealth } = options;
  const queue = createQueue(tuning);
  const hold = createHold(queue);
  const answers = createAnswers();
  const due = createDue(tuning.commitEveryMs, () => pump());
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
  let closing = false;
  let closed = false;
  let emptied: (() => void) | null = null;
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

  const tellHealth = healthTeller(facts, now(), onHealth);

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
    due.stop();
    answers.giveUp(queue.abandon(), why);
    waitingSinceMono = null;
  }

  function wrapIfDue(): boolean {
    if (!due.reached && !closing) return false;
    queue.wrap();
    return true;
  }

  function pump(): void {
    if (hold.releasing && open !== null) {
      if (onTheirWay > 0) return;
      hold.giveAgain();
    }
    while (open !== null && onTheirWay < ON_THEIR_WAY) {
      const batch = takeBatch(queue, FULL_PARCELS * tuning.parcelReadings, wrapIfDue);
      if (batch.length === 0) break;
      send(open, batch);
    }
    if (queue.gathered === 0) due.stop();
  }

  function send(thread: Thread<WriterCalls>, parcels: readonly Parcel[]): void {
    onTheirWay++;
    const resume = parcels.some(hold.resumesWith);
    thread.call("commit", { parcels, resume, last: closing }).then(
      (receipts) => received(thread, parcels, receipts),
      (error: unknown) => {
        // After the end of the thread the parcels are still in the queue and will be sent again.
        if (error instanceof ThreadEnded) return;
        received(
          thread,
          parcels,
          parcels.map((parcel) => cannotBeKept(parcel, error)),
        );
      },
    );
  }

  function received(
    thread: Thread<WriterCalls>,
    parcels: readonly Parcel[],
    receipts: readonly Receipt[],
  ): void {
    if (open !== thread) return;
    onTheirWay--;
    link.works();
    trouble = null;
    for (const [i, parcel] of parcels.entries()) settle(parcel, receipts[i] as Receipt);
    if (queue.idle) waitingSinceMono = null;
    pump();
    tellHealth();
    // At the end, what there is no room for cannot be waited for.
    if (queue.empty || (queue.idle && closing && !hold.releasing)) emptied?.();
  }

  function settle(parcel: Parcel, receipt: Receipt): void {
    lost += receipt.lost;
    if (receipt.tookMs !== null) {
      lastCommitMono = now();
      commits.add(lastCommitMono, receipt.tookMs);
    }
    queue.settled(parcel.number, receipt.held);
    hold.answered(parcel, receipt);
    answers.settle(parcel.number, receipt);
  }

  async function act(action: Action): Promise<ActionResult> {
    if (closing) throw new AppError("journal-closed", "The journal has been closed.");
    if (refusal !== null) throw refusal;
    // It may wait for others, and is kept as it was given. One that cannot be sent takes none of those with it.
    const number = queue.act(structuredClone(action));
    if (number === null) {
      tellHealth();
      throw new AppError(
        "journal-unusable",
        `This was not kept, because ${tuning.mostActions} entries are waiting for the journal to be written already.`,
      );
    }
    waitingSinceMono ??= now();
    const answer = answers.to(number);
    pump();
    return answer;
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
      if (queue.gathered > 0) due.start();
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
