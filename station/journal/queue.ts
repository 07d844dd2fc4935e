import type { Reading } from "../model/reading.js";
import { type Columns, gatherColumns } from "./columns.js";
import type { Action, ActionName, Parcel } from "./protocol.js";

export interface QueueBounds {
  /** Readings that make a parcel full. */
  readonly parcelReadings: number;
  /** Readings held at most; the oldest that are not on their way are dropped beyond. */
  readonly mostReadings: number;
  /** Actions held at most, but for the beginnings and ends of runs, which are always taken in. */
  readonly mostActions: number;
}

const ALWAYS_TAKEN: ReadonlySet<ActionName> = new Set(["runBegun", "runEnded"]);

/**
 * What the main thread holds for the journal: parcels in order, each kept until it is known to be committed, and the
 * readings gathered for the next one. An action is refused when it comes, or never dropped.
 */
export interface ParcelQueue {
  add(readings: readonly Reading[]): void;
  /** Makes a parcel of what was gathered, if anything was. */
  wrap(): void;
  /** Makes a parcel of what was gathered and of this action. Returns its number; null if the action is refused. */
  act(action: Action): number | null;
  /** The next parcel to send, which then counts as on its way; null if all are. */
  next(): Parcel | null;
  /**
   * This parcel, the oldest on its way, is committed or refused for good. Its readings are `held` where the disk had no room
   * for them: they are kept until `release`, behind those held before.
   */
  settled(number: number, held?: boolean): void;
  /**
   * Makes parcels of the readings that were held and of all that came since, in the order they came, behind the actions that
   * wait. Only while nothing is on its way.
   */
  release(): void;
  /** Nothing is on its way any more: `next` begins again with the oldest. */
  rewind(): void;
  /** Gives up everything held; returns the numbers of parcels that held an action. */
  abandon(): number[];
  /** Readings gathered for the next parcel. */
  readonly gathered: number;
  /** Whether nothing waits but readings that were held for want of room. */
  readonly idle: boolean;
  /** Whether there are such. */
  readonly holds: boolean;
  /** Readings waiting, on their way, held or not. */
  readonly waiting: number;
  readonly dropped: number;
  /** Actions refused. */
  readonly refused: number;
  /** Whether anything at all is held. */
  readonly empty: boolean;
}

interface Held {
  readonly number: number;
  readings: Columns | null;
  readonly action: Action | null;
}

export function createQueue({ parcelReadings, mostReadings, mostActions }: QueueBounds): ParcelQueue {
  const gatherer = gatherColumns(parcelReadings);
  let held: Held[] = [];
  /** Readings the disk had no room for, oldest first. */
  let kept: Columns[] = [];
  /** How many of `held`, from the front, are on their way. */
  let sent = 0;
  let numbered = 0;
  let waiting = 0;
  let dropped = 0;
  let actions = 0;
  let refused = 0;

  function hold(action: Action | null): number {
    numbered++;
    held.push({ number: numbered, readings: gatherer.count === 0 ? null : gatherer.take(), action });
    return numbered;
  }

  function wrap(): void {
    if (gatherer.count > 0) hold(null);
  }

  function countDropped(readings: number): void {
    waiting -= readings;
    dropped += readings;
  }

  function dropOldest(): void {
    const oldest = kept.shift();
    if (oldest !== undefined) {
      countDropped(oldest.count);
      return;
    }
    for (let i = sent; i < held.length; i++) {
      const parcel = held[i];
      if (parcel === undefined || parcel.readings === null) continue;
      countDropped(parcel.readings.count);
      parcel.readings = null;
      if (parcel.action === null) held.splice(i, 1);
      return;
    }
    // Everything else is on its way: what was gathered goes.
    countDropped(gatherer.take().count);
  }

  return {
    add(readings) {
      for (const reading of readings) {
        gatherer.addReading(reading);
        waiting++;
        if (waiting > mostReadings) dropOldest();
        if (gatherer.count >= parcelReadings) wrap();
      }
    },
    wrap,
    act(action) {
      if (actions >= mostActions && !ALWAYS_TAKEN.has(action.name)) {
        refused++;
        return null;
      }
      actions++;
      return hold(action);
    },
    next() {
      const parcel = held[sent];
      if (parcel === undefined) return null;
      sent++;
      return { number: parcel.number, readings: parcel.readings, action: parcel.action };
    },
    settled(number, isHeld = false) {
      const parcel = held[0];
      if (parcel === undefined || parcel.number !== number) return;
      held.shift();
      sent--;
      if (parcel.action !== null) actions--;
      if (parcel.readings === null) return;
      if (isHeld) kept.push(parcel.readings);
      else waiting -= parcel.readings.count;
    },
    release() {
      for (const parcel of held) {
        if (parcel.readings !== null) kept.push(parcel.readings);
        parcel.readings = null;
      }
      held = held.filter(({ action }) => action !== null);
      for (const readings of kept) {
        numbered++;
        held.push({ number: numbered, readings, action: null });
      }
      kept = [];
    },
    rewind() {
      sent = 0;
    },
    abandon() {
      const given = held.filter((parcel) => parcel.action !== null).map((parcel) => parcel.number);
      held = [];
      kept = [];
      sent = 0;
      actions = 0;
      gatherer.take();
      countDropped(waiting);
      return given;
    },
    get gathered() {
      return gatherer.count;
    },
    get waiting() {
      return waiting;
    },
    get dropped() {
      return dropped;
    },
    get refused() {
      return refused;
    },
    get idle() {
      return held.length === 0 && gatherer.count === 0;
    },
    get holds() {
      return kept.length > 0;
    },
    get empty() {
      return held.length === 0 && gatherer.count === 0 && kept.length === 0;
    },
  };
}
