import type { KeepNotices, NoticeActionMap, NoticeChange, WaySum } from "../journal/notices.js";
import type { Log } from "../log.js";
import type { AlarmDefinition, AlarmTransition } from "../model/alarm.js";
import type { Clock, Instant } from "../model/instant.js";
import { type Notice, type NoticeStanding, WAYS, type Way } from "../model/notice.js";
import type { OutwardView } from "../model/outward.js";
import type { OutwardEntry } from "./entry.js";
import { eventOf } from "./event.js";
import type { Outgoing, Taken } from "./outgoing.js";
import { reachOf } from "./reach.js";
import { type Choice, isQuiet, isTold, type Told } from "./told.js";
import { createWayQueue, type Item, type Message, type WayQueue } from "./way-queue.js";
import { mailOf } from "./wording.js";

export interface OutwardParts {
  readonly entry: OutwardEntry;
  readonly station: string;
  readonly simulated: boolean;
  readonly clock: Pick<Clock, "now" | "state" | "bootId">;
  /** Id of this start of the station. */
  readonly start: string;
  readonly definition: (alarm: string) => Pick<AlarmDefinition, "consequence" | "action"> | undefined;
  readonly keep: KeepNotices;
  /** Sends a message. @throws Error with words for people */
  readonly send: (message: Outgoing) => Promise<Taken>;
  /** "HH:MM" by the local clock. */
  readonly timeOfDay: (wall: number) => string;
  /** A moment in words, by the local clock. */
  readonly when: (wall: number) => string;
  readonly random: () => number;
  /** Over after so many milliseconds. */
  readonly pause: (ms: number) => Promise<unknown>;
  readonly failed: (error: unknown) => void;
  readonly log: Log;
}

/** Who is told what, and what still waits. On the main thread, which never waits for any of it. */
export interface OutwardDesk {
  /** Changes of alarms, after the pages have them. */
  told(transitions: readonly AlarmTransition[]): void;
  /**
   * Takes up what waited when the station stopped, and tells what the journal kept just before without a notice of it.
   * @param last the latest transitions of each alarm
   */
  takeUp(left: NoticeActionMap["noticesLeft"]["result"], last: readonly AlarmTransition[]): Promise<void>;
  started(): void;
  tick(now: Instant): void;
  view(): OutwardView;
}

interface Post {
  readonly way: Way;
  readonly choice: Choice;
  readonly queue: WayQueue;
  lastSentWall: number | null;
  error: string | null;
  givenUp: number;
  lastGivenUpWall: number | null;
}

/** What a start finds that is older than this was told before, or is no news any more. */
const NEWS_MS = 3_600_000;
/** What was sent or given up is remembered for so long. */
const REMEMBERED_MS = 30 * 86_400_000;
/** What goes together waits no longer than this to be kept so. Every later message of its way waits behind it, urgent ones too. */
const KEPT_WITHIN_MS = 2_000;
const PRUNE_EVERY_MS = 86_400_000;

export function createOutwardDesk(parts: OutwardParts): OutwardDesk {
  const { entry, clock, keep, failed, log } = parts;
  const quietHours = entry.quiet_hours ?? null;
  const posts = WAYS.flatMap((way): Post[] => {
    const choice = entry[way];
    if (choice === undefined) return [];
    const mostIn10Min = "most_in_10_min" in choice ? choice.most_in_10_min : null;
    const queue = createWayQueue({ mostIn10Min, random: parts.random });
    const nothing = { lastSentWall: null, error: null, givenUp: 0, lastGivenUpWall: null };
    return [{ way, choice, queue, ...nothing }];
  });
  let prunedMono = Number.NEGATIVE_INFINITY;

  function toldOf(t: AlarmTransition): Told {
    const { consequence = "", action = "" } = parts.definition(t.alarm) ?? {};
    const { id, alarm, kind, title, priority, transition, to: state, detail, by, wall } = t;
    const { station, simulated } = parts;
    return {
      ...{ id, what: "alarm", station, simulated, alarm, kind, title, priority, transition, state },
      ...{ detail, consequence, action, by, wall, clock: clock.state() },
    };
  }

  function noticeOf(way: Way, told: Told, at: Instant): Notice {
    return { key: `${way}:${told.id}`, way, payload: told, at };
  }

  function itemOf({ key, payload, at }: Notice, thisBoot: boolean): Item {
    return { key, told: payload as Told, at, thisBoot };
  }

  /** By the ways that are told of it. */
  function noticesOf(transitions: readonly AlarmTransition[]): Notice[] {
    return transitions.flatMap((transition) =>
      posts
        .filter(({ choice }) => isTold(transition, choice))
        .map(({ way }) =>
          noticeOf(way, toldOf(transition), { wall: transition.wall, mono: transition.mono }),
        ),
    );
  }

  function enqueue(notices: readonly Notice[]): void {
    for (const { way, queue } of posts)
      queue.add(notices.filter((notice) => notice.way === way).map((notice) => itemOf(notice, true)));
  }

  /** Out at once, and kept beside: a message that is out waits for no disk. */
  function tell(notices: readonly Notice[]): void {
    if (notices.length === 0) return;
    keep("noticesKept", notices).catch(failed);
    enqueue(notices);
    const now = clock.now();
    for (const post of posts) pump(post, now);
  }

  function isQuietNow({ way }: Post, now: Instant): boolean {
    return way === "mail" && isQuiet(parts.timeOfDay(now.wall), quietHours);
  }

  function changed(change: NoticeChange): Promise<unknown> {
    return keep("noticesChanged", change).catch(failed);
  }

  function gaveUp(post: Post, change: NoticeChange, why: string | null, now: Instant): void {
    void changed(change);
    const count = change.keys.length;
    post.givenUp += count;
    post.lastGivenUpWall = now.wall;
    log("error", "was never told outward, and is given up", { way: post.way, count, why });
  }

  function pump(post: Post, now: Instant): void {
    const message = post.queue.next(now, isQuietNow(post, now));
    if (message !== null) void carry(post, message);
  }

  async function carry(post: Post, message: Message): Promise<void> {
    const { key, items, urgent, settled } = message;
    if (!settled) {
      // What goes together stays together, so that a message sent twice is twice the same. One alone, or urgent, waits for no disk.
      const keeping = changed({ keys: items.map((item) => item.key), standing: joinedIn(key) });
      // Nor for a disk that hangs: should it be sent twice for that, it has the same key while the same items go together.
      if (items.length > 1 && !urgent) await Promise.race([keeping, parts.pause(KEPT_WITHIN_MS)]);
    }
    let error: string | null = null;
    try {
      const { note, again, nobody } = await parts.send(outgoingOf(post.way, message));
      const now = clock.now();
      if (nobody) gaveUp(post, post.queue.refused(note, now), note, now);
      else void changed(again ? post.queue.putOff(note, now) : post.queue.sent(now));
      if (again && post.error !== note)
        log("warn", "could not be told outward to all, and is tried again", { way: post.way, why: note });
      if (!nobody) post.lastSentWall = now.wall;
      post.error = note;
    } catch (thrown) {
      error = thrown instanceof Error ? thrown.message : String(thrown);
      void changed(post.queue.failed(error, clock.now()));
      if (post.error !== error)
        log("warn", "could not be told outward, and is tried again", { way: post.way, why: error });
      post.error = error;
    }
    if (error === null) pump(post, clock.now());
  }

  function outgoingOf(way: Way, { key, items }: Message): Outgoing {
    const all = items.map(({ told }) => told);
    const [first] = all as [Told];
    if (way === "mail") {
      const domain = entry.mail?.from.replace(/^.*@/, "") ?? "";
      return { way, mail: mailOf(all, key, domain, parts.when), wall: first.wall };
    }
    return way === "mqtt" ? { way, event: eventOf(first) } : { way, key, event: eventOf(first) };
  }

  function takeSum({ way, lastSentWall, givenUp, lastGivenUpWall }: WaySum): void {
    const post = posts.find((each) => each.way === way);
    if (post === undefined) return;
    post.lastSentWall ??= lastSentWall;
    post.givenUp += givenUp;
    post.lastGivenUpWall ??= lastGivenUpWall;
  }

  return {
    told: (transitions) => tell(noticesOf(transitions)),

    async takeUp({ waiting, ways }, last) {
      for (const sum of ways) takeSum(sum);
      for (const { way, queue } of posts) {
        const own = waiting.filter((notice) => notice.way === way);
        const messages = new Set(own.map(({ message }) => message));
        for (const message of messages) {
          const items = own.filter((notice) => notice.message === message);
          const kept = items.map((notice) => itemOf(notice, notice.bootId === clock.bootId));
          queue.restore(message, items[0]?.attempts ?? 0, kept);
        }
      }
      const { wall } = clock.now();
      const news = noticesOf(last.filter((transition) => Math.abs(wall - transition.wall) < NEWS_MS));
      if (news.length === 0) return;
      const fresh = await keep("noticesKept", news);
      enqueue(news.filter(({ key }) => fresh === null || fresh.includes(key)));
    },

    started() {
      if (!entry.tell_start) return;
      const { station, simulated, start } = parts;
      const at = clock.now();
      const told: Told = {
        ...{ id: `${start}-started`, what: "station-started", station, simulated, alarm: "", kind: "" },
        ...{ title: "The station has started", priority: "low", transition: "started", state: "" },
        ...{ detail: "", consequence: "", action: "", by: null, wall: at.wall, clock: clock.state() },
      };
      tell(posts.map(({ way }) => noticeOf(way, told, at)));
    },

    tick(now) {
      for (const post of posts) {
        for (const change of post.queue.giveUp(now)) gaveUp(post, change, change.standing.error, now);
        pump(post, now);
      }
      if (posts.length === 0 || now.mono - prunedMono < PRUNE_EVERY_MS || clock.state() !== "synchronised")
        return;
      prunedMono = now.mono;
      keep("noticesPruned", now.wall - REMEMBERED_MS).catch(failed);
    },

    view() {
      const now = clock.now();
      return {
        simulated: parts.simulated,
        quietHours,
        ways: WAYS.map((way) => {
          const post = posts.find((each) => each.way === way);
          const quiet = post?.queue.holds(isQuietNow(post, now)) ?? false;
          return {
            ...{ way, setUp: post !== undefined, to: reachOf(way, entry), quiet },
            priorities: post?.choice.priorities ?? [],
            lastSentWall: post?.lastSentWall ?? null,
            waiting: post?.queue.waiting ?? 0,
            oldestWall: post?.queue.oldest?.at.wall ?? null,
            nextTryMs: post?.queue.nextTryMs(now) ?? null,
            error: post?.error ?? null,
            givenUp: post?.givenUp ?? 0,
            lastGivenUpWall: post?.lastGivenUpWall ?? null,
          };
        }),
      };
    },
  };
}

function joinedIn(message: string): NoticeStanding {
  return { state: "waiting", message, attempts: 0, nextWall: null, doneWall: null, error: null };
}
