import { createHash } from "node:crypto";
import type { NoticeChange } from "../journal/notices.js";
import { PRIORITIES } from "../model/alarm.js";
import type { Instant } from "../model/instant.js";
import type { NoticeStanding } from "../model/notice.js";
import { FIRST_MS, GIVE_UP_AFTER_MS, pauseAfter } from "./back-off.js";
import type { Told } from "./told.js";

/** Something that one way is to be told, until it is sent or given up. */
export interface Item {
  readonly key: string;
  readonly told: Told;
  readonly at: Instant;
  /** Whether `at.mono` is of this boot. */
  readonly thisBoot: boolean;
}

/** What goes out at once: one item, or several that are told together. */
export interface Message {
  /** That of its item, or one that is of these items and of no others: what is sent twice has it twice. */
  readonly key: string;
  readonly items: readonly Item[];
  readonly urgent: boolean;
  /** Whether the journal knows already what goes out together. */
  readonly settled: boolean;
}

export interface WayRules {
  /** How many messages go within ten minutes before what comes is told together; null: each by itself, always. */
  readonly mostIn10Min: number | null;
  /** From 0 to 1, drawn anew at each call. */
  readonly random: () => number;
}

/** What waits for one way, and what is to be sent next. Does no I/O, and learns the time only from what it is given. */
export interface WayQueue {
  /** One whose key it holds, or held lately, is passed over. */
  add(items: readonly Item[]): void;
  /** What waited when the station stopped, by the messages that were made of it then. */
  restore(message: string | null, attempts: number, items: readonly Item[]): void;
  /**
   * The message that is to be sent now, which is under way from then on; null while there is none.
   * @param quiet what is not urgent and has not been made a message of yet waits
   */
  next(now: Instant, quiet: boolean): Message | null;
  /** The one under way was taken. */
  sent(now: Instant): NoticeChange;
  failed(error: string, now: Instant): NoticeChange;
  /** The one under way was refused for good: it is not sent again. Its way works. */
  refused(error: string | null, now: Instant): NoticeChange;
  /** The one under way was taken for some of those it goes to, and is to be sent again for the others. Its way works. */
  putOff(error: string | null, now: Instant): NoticeChange;
  /** Those that have waited for too long go, and of too many those that matter least. */
  giveUp(now: Instant): NoticeChange[];
  readonly waiting: number;
  readonly oldest: Item | null;
  /** Milliseconds until the next try of what has failed; null where nothing has. */
  nextTryMs(now: Instant): number | null;
  /** Whether something waits for the quiet hours to end. */
  holds(quiet: boolean): boolean;
}

interface Made extends Omit<Message, "settled"> {
  settled: boolean;
  attempts: number;
  nextMono: number;
  /** Whether some have it already. */
  partly: boolean;
}

const WINDOW_MS = 600_000;
/** Beyond the most, urgent ones go all the same, with all that waits, but no faster than this. */
const URGENT_EVERY_MS = 60_000;
/** Kept in memory at most. Beyond, the lowest priority is given up first, and of it the oldest. */
const MOST_WAITING = 500;
const KEYS_REMEMBERED = 5000;

function keyOf(items: readonly Item[]): string {
  const [first, ...more] = items.map(({ key }) => key);
  if (more.length === 0) return first ?? "";
  const all = createHash("sha256")
    .update(JSON.stringify([first, ...more]))
    .digest("hex");
  return `${first}+${more.length}-${all.slice(0, 16)}`;
}

export function createWayQueue({ mostIn10Min, random }: WayRules): WayQueue {
  let loose: Item[] = [];
  let made: Made[] = [];
  let underWay: Made | null = null;
  /** Failures one after another, and when the way is tried again after them. */
  let failures = 0;
  let pausedUntil = Number.NEGATIVE_INFINITY;
  let failedMono = Number.NEGATIVE_INFINITY;
  let sentMonos: number[] = [];
  const known = new Set<string>();

  function remember(items: readonly Item[]): Item[] {
    const fresh = items.filter(({ key }) => !known.has(key));
    for (const { key } of fresh) known.add(key);
    for (const key of known) {
      if (known.size <= KEYS_REMEMBERED) break;
      known.delete(key);
    }
    return fresh;
  }

  function isUrgent({ told }: Item): boolean {
    return told.priority === "urgent";
  }

  function make(items: readonly Item[], attempts = 0, key = keyOf(items)): Made {
    const urgent = items.some(isUrgent);
    return {
      key,
      items,
      urgent,
      attempts,
      settled: false,
      nextMono: Number.NEGATIVE_INFINITY,
      partly: false,
    };
  }

  /** Those of which a message may be made now. */
  function ready(now: Instant, quiet: boolean): readonly Item[] {
    const wanted = quiet ? loose.filter(isUrgent) : loose;
    if (mostIn10Min === null) {
      const first = wanted.find(isUrgent) ?? wanted[0];
      return first === undefined ? [] : [first];
    }
    sentMonos = sentMonos.filter((mono) => now.mono - mono < WINDOW_MS);
    if (sentMonos.length < mostIn10Min) return wanted;
    const last = sentMonos.at(-1) ?? Number.NEGATIVE_INFINITY;
    return wanted.some(isUrgent) && now.mono - last >= URGENT_EVERY_MS ? wanted : [];
  }

  /** Until when what was not tried yet waits after a failure. The long pauses of others do not hold an urgent one up. */
  function heldUntil(): number {
    return loose.some(isUrgent) ? Math.min(pausedUntil, failedMono + FIRST_MS) : pausedUntil;
  }

  function ageMs({ at, thisBoot }: Item, now: Instant): number {
    return thisBoot ? now.mono - at.mono : Math.max(0, now.wall - at.wall);
  }

  /** In a flood of small things nothing that matters more is thrown away for them. */
  function beyondMost(): Set<Item> {
    const over = loose.length - MOST_WAITING;
    if (over <= 0) return new Set();
    const rank = ({ told }: Item) => PRIORITIES.indexOf(told.priority);
    // Sorting keeps the order of equals: the oldest of a priority stay first.
    const least = loose.toSorted((a, b) => rank(b) - rank(a)).slice(0, over);
    return new Set(least);
  }

  function change(items: readonly Item[], standing: Partial<NoticeStanding>): NoticeChange {
    const usual: NoticeStanding = {
      ...{ state: "waiting", message: null, attempts: 0, nextWall: null, doneWall: null, error: null },
    };
    return { keys: items.map(({ key }) => key), standing: { ...usual, ...standing } };
  }

  function taken(): Made {
    if (underWay === null) throw new Error("No message is under way.");
    const message = underWay;
    underWay = null;
    return message;
  }

  function retried(message: Made, error: string | null, now: Instant): NoticeChange {
    message.attempts++;
    message.settled = true;
    const pause = pauseAfter(message.attempts, message.urgent, random());
    message.nextMono = now.mono + pause;
    made.push(message);
    const { key, items, attempts } = message;
    return change(items, { message: key, attempts, nextWall: now.wall + pause, error });
  }

  return {
    add(items) {
      loose.push(...remember(items));
    },
    restore(message, attempts, items) {
      const fresh = remember(items);
      if (fresh.length === 0) return;
      if (message === null) loose.push(...fresh);
      else made.push({ ...make(fresh, attempts, message), settled: true });
    },
    next(now, quiet) {
      if (underWay !== null || now.mono < heldUntil()) return null;
      const paused = now.mono < pausedUntil;
      const due = paused ? [] : made.filter(({ nextMono }) => nextMono <= now.mono);
      const items = ready(now, quiet);
      const again = due.find(({ urgent }) => urgent) ?? due[0];
      const fresh = items.length > 0 && (!paused || items.some(isUrgent)) ? make(items) : undefined;
      const first = [again, fresh].find((each) => each?.urgent === true) ?? fresh ?? again;
      if (first === undefined) return null;
      if (first === fresh) loose = loose.filter((item) => !items.includes(item));
      else made = made.filter((each) => each !== first);
      underWay = first;
      return first;
    },
    sent(now) {
      const { key, items, attempts, partly } = taken();
      failures = 0;
      if (!partly) sentMonos.push(now.mono);
      return change(items, { state: "sent", message: key, attempts: attempts + 1, doneWall: now.wall });
    },
    failed(error, now) {
      failures++;
      failedMono = now.mono;
      const kept = retried(taken(), error, now);
      const urgent = made.some((each) => each.urgent) || loose.some(isUrgent);
      pausedUntil = now.mono + pauseAfter(failures, urgent, random());
      return kept;
    },
    refused(error, now) {
      const { key, items, attempts, partly } = taken();
      failures = 0;
      if (!partly) sentMonos.push(now.mono);
      const done = { state: "given-up", message: key, attempts: attempts + 1, doneWall: now.wall } as const;
      return change(items, { ...done, error });
    },
    putOff(error, now) {
      const message = taken();
      failures = 0;
      // However often it goes to those who are left, it is one message of those that may go in a while.
      if (!message.partly) sentMonos.push(now.mono);
      message.partly = true;
      return retried(message, error, now);
    },
    giveUp(now) {
      const isLate = (item: Item) => ageMs(item, now) > GIVE_UP_AFTER_MS;
      const lost = made.filter(({ items }) => items.some(isLate));
      const late = loose.filter(isLate);
      made = made.filter((message) => !lost.includes(message));
      loose = loose.filter((item) => !late.includes(item));
      const least = beyondMost();
      loose = loose.filter((item) => !least.has(item));
      const done = { state: "given-up", doneWall: now.wall } as const;
      return [
        ...lost.map(({ key, items, attempts }) =>
          change(items, { ...done, message: key, attempts, error: "it could not be sent for three days" }),
        ),
        ...(late.length === 0 ? [] : [change(late, { ...done, error: "it waited for too long" })]),
        ...(least.size === 0
          ? []
          : [change([...least], { ...done, error: "too much waited, and this mattered least" })]),
      ];
    },
    get waiting() {
      return [...made, ...(underWay === null ? [] : [underWay])].reduce(
        (sum, { items }) => sum + items.length,
        loose.length,
      );
    },
    get oldest() {
      const all = [...made.flatMap(({ items }) => items), ...(underWay?.items ?? []), ...loose];
      return all.reduce<Item | null>(
        (old, item) => (old === null || item.at.wall < old.at.wall ? item : old),
        null,
      );
    },
    nextTryMs(now) {
      if (underWay !== null) return null;
      const again = made.filter(({ partly }) => failures > 0 || partly);
      const due = again.map(({ nextMono }) => Math.max(nextMono, pausedUntil));
      if (failures > 0 && loose.length > 0) due.push(heldUntil());
      return due.length === 0 ? null : Math.max(0, Math.min(...due) - now.mono);
    },
    holds: (quiet) => quiet && loose.some((item) => !isUrgent(item)),
  };
}
