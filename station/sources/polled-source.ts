import type { Clock, Instant } from "../model/instant.js";
import type { Unit } from "../model/quantity.js";
import { REASONS, type Reason } from "../model/reading.js";
import type { Finding, Source, SourceSink, SourceState, SourceStatus } from "../model/source.js";
import { reasonOfErrno, textOf } from "./errno.js";
import { Tally } from "./tally.js";

/** What one look at one point gave. `detail` is for people, where the reason alone does not say enough. */
export type PointResult =
  | { readonly point: string; readonly value: number; readonly unit: Unit; readonly doubt?: Reason }
  | { readonly point: string; readonly fault: Reason; readonly detail?: string };

/**
 * Hands over a result between two rounds, as an edge does; `at` where the moment is known better than "now". The reports of a
 * point always go forward in time, since one dated before the last would be dropped as late: where `at` does not come after
 * the last report, a result that says the same is left out, and one that says something else is dated now.
 */
export type Push = (result: PointResult, at?: Instant) => void;

export interface Polling {
  readonly id: string;
  readonly driver: string;
  readonly clock: Clock;
  /** From the start of one round to the start of the next; milliseconds. */
  readonly everyMs: number;
  /**
   * A round that takes longer than this is reported as timed out; milliseconds. Null where the round itself comes back in
   * time, whatever happens.
   */
  readonly limitMs: number | null;
  /**
   * One round. Rounds never overlap, however long one takes, and a round reads one file after the other: so a source that is
   * stuck in the kernel holds one of the threads that Node.js has for files, and no more.
   */
  round(): Promise<readonly PointResult[]>;
  /** The points to mark as bad when a round does not come back or throws. */
  points(): readonly string[];
  begin?(push: Push, tally: Tally): void;
  /** Cuts short what can be of a round under way, which is still waited for. */
  halt?(): void;
  /** Gives back every handle; called once the last round is over. Where it throws, the status says so. */
  end?(): void | Promise<void>;
  check(): Promise<readonly Finding[]>;
}

/** A source that is asked at intervals. Its state is derived from what the last round gave. */
export function createPolledSource(polling: Polling): Source {
  const tally = new Tally();
  let sink: SourceSink | null = null;
  let timer: NodeJS.Timeout | null = null;
  let state: SourceState = "closed";
  let reason: Reason | null = null;
  let detail: string | null = null;
  let running: Promise<void> | null = null;
  let stopping: Promise<void> | null = null;

  const status = (): SourceStatus => ({
    source: polling.id,
    driver: polling.driver,
    state,
    reason,
    detail,
    simulated: false,
    accepted: tally.accepted,
    dropped: tally.dropped,
  });

  const settle = (nextState: SourceState, nextReason: Reason | null, nextDetail: string | null) => {
    if (state === nextState && reason === nextReason && detail === nextDetail) return;
    state = nextState;
    reason = nextReason;
    detail = nextDetail;
    sink?.status(status());
  };

  const lastOf = new Map<string, { readonly mono: number; readonly told: number | Reason }>();

  const deliver: Push = (result, moment) => {
    if (sink === null || stopping !== null) return;
    const { point } = result;
    const told = "fault" in result ? result.fault : result.value;
    const last = lastOf.get(point);
    const outOfOrder = moment !== undefined && last !== undefined && moment.mono <= last.mono;
    if (outOfOrder && told === last.told) return;
    const at = moment === undefined || outOfOrder ? polling.clock.now() : moment;
    lastOf.set(point, { mono: at.mono, told });
    if ("fault" in result) {
      tally.drop(result.fault);
      sink.reading({ source: polling.id, point, at, fault: result.fault });
      return;
    }
    tally.accept();
    const { value, unit, doubt } = result;
    const reading = { source: polling.id, point, at, value, unit };
    sink.reading(doubt === undefined ? reading : { ...reading, doubt });
  };

  const judge = (results: readonly PointResult[]) => {
    for (const result of results) deliver(result);
    const fault = results.find((result) => "fault" in result);
    const anyValue = results.some((result) => "value" in result);
    if (fault === undefined || !("fault" in fault)) return settle("open", null, null);
    const without = fault.fault === "timed-out" ? "silent" : "backing-off";
    settle(anyValue ? "open" : without, fault.fault, fault.detail ?? REASONS[fault.fault].text);
  };

  const allBad = (fault: Reason, text: string): PointResult[] =>
    polling.points().map((point) => ({ point, fault, detail: text }));

  /** Settles when the round does, or at the limit; a round that comes back later than that is thrown away. */
  const limited = () =>
    new Promise<void>((resolve) => {
      const { limitMs } = polling;
      let late = false;
      const giveUp = (afterMs: number) => {
        late = true;
        const text = `no answer within ${afterMs / 1000} s`;
        for (const result of allBad("timed-out", text)) deliver(result);
        settle("silent", "timed-out", text);
        resolve();
      };
      const watchdog = limitMs === null ? null : setTimeout(() => giveUp(limitMs), limitMs);
      const over = (results: readonly PointResult[]) => {
        running = null;
        if (late) return tally.drop("late");
        if (watchdog !== null) clearTimeout(watchdog);
        if (stopping === null) judge(results);
        resolve();
      };
      running = polling
        .round()
        .then(over, (error: unknown) => over(allBad(reasonOfErrno(error), textOf(error))));
    });

  let inHand: Promise<void> = Promise.resolve();
  const turn = async () => {
    const began = polling.clock.now().mono;
    // A read stuck in the kernel cannot be called off: it is waited for, and reported again, but never doubled.
    if (running === null) {
      inHand = limited();
      await inHand;
    } else {
      const text = "the last read has still not come back";
      for (const result of allBad("timed-out", text)) deliver(result);
      settle("silent", "timed-out", text);
    }
    if (sink === null || stopping !== null) return;
    const spent = polling.clock.now().mono - began;
    timer = setTimeout(() => void turn(), Math.max(0, polling.everyMs - spent));
  };

  const stop = async () => {
    if (timer !== null) clearTimeout(timer);
    timer = null;
    polling.halt?.();
    await inHand;
    try {
      await polling.end?.();
      settle("closed", null, null);
    } catch (error) {
      // Whoever stops the station must get to the end of it; what could not be given back is said in the status.
      settle("closed", reasonOfErrno(error), `it could not be given back: ${textOf(error)}`);
    }
    sink = null;
  };

  return {
    id: polling.id,
    start(to) {
      if (sink !== null) return;
      sink = to;
      stopping = null;
      polling.begin?.(deliver, tally);
      settle("opening", null, null);
      void turn();
    },
    stop() {
      stopping ??= stop();
      return stopping;
    },
    status,
    check: () => polling.check(),
  };
}
