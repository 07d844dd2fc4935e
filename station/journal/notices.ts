import type { Instant } from "../model/instant.js";
import type { KeptNotice, Notice, NoticeStanding, NoticeState, Way } from "../model/notice.js";
import type { Db } from "./database.js";
import { sound } from "./row-checks.js";
import { jsonOrNull } from "./rows.js";

/** More do not wait: what is older is given up before. */
const MOST_WAITING = 2000;

export interface NoticeChange {
  readonly keys: readonly string[];
  readonly standing: NoticeStanding;
}

/** What the notices that are kept say of a way. */
export interface WaySum {
  readonly way: Way;
  /** Wall milliseconds. */
  readonly lastSentWall: number | null;
  readonly givenUp: number;
  readonly lastGivenUpWall: number | null;
}

/** What the writing thread does: in the order it is asked, so that what was kept is there to be changed. */
export interface NoticeActionMap {
  /**
   * One whose key is there already is kept once. The keys of those that are new; null where that is no longer known, because the
   * thread ended in between.
   */
  noticesKept: { params: readonly Notice[]; result: string[] | null };
  noticesChanged: { params: NoticeChange; result: null };
  /** Takes those away whose news and whose sending are both older than a moment of the wall clock. */
  noticesPruned: { params: number; result: null };
  /** Those that wait, oldest first, and how it stands with each way. */
  noticesLeft: { params: null; result: { readonly waiting: KeptNotice[]; readonly ways: WaySum[] } };
}

export type KeepNotices = <K extends keyof NoticeActionMap>(
  name: K,
  params: NoticeActionMap[K]["params"],
) => Promise<NoticeActionMap[K]["result"]>;

interface NoticeRecord {
  readonly id: number;
  readonly key: string;
  readonly way: string;
  readonly boot_id: string;
  readonly wall: number;
  readonly mono: number;
  readonly payload: string;
  readonly state: string;
  readonly message: string | null;
  readonly attempts: number;
  readonly next_wall: number | null;
  readonly done_wall: number | null;
  readonly error: string | null;
}

function noticeOf(row: NoticeRecord): KeptNotice {
  const { id, key, wall, mono, message, attempts, error } = row;
  return {
    ...{ id, key, way: row.way as Way, bootId: row.boot_id, at: { wall, mono } },
    payload: JSON.parse(row.payload) as unknown,
    ...{ state: row.state as NoticeState, message, attempts, error },
    ...{ nextWall: row.next_wall, doneWall: row.done_wall },
  };
}

type Handlers = {
  readonly [K in keyof NoticeActionMap]: (
    params: NoticeActionMap[K]["params"],
  ) => NoticeActionMap[K]["result"];
};

/** Inside a transaction of the caller's. */
export function createNoticeActions(db: Db, session: number, wallOf: (at: Instant) => number): Handlers {
  const insert = db.prepare(
    `INSERT INTO notice (key, way, session, wall, mono, payload) VALUES (?, ?, ?, ?, ?, ?)
     ON CONFLICT (key) DO NOTHING`,
  );
  const change = db.prepare(
    `UPDATE notice SET state = ?, message = ?, attempts = ?, next_wall = ?, done_wall = ?, error = ? WHERE key = ?`,
  );
  // What was sent before the clock was set seems as old as that clock; its news has its true time since. Gone too early it would be
  // told again at the next start.
  const prune = db.prepare(
    "DELETE FROM notice WHERE state <> 'waiting' AND done_wall < @before AND wall < @before",
  );
  const waiting = db.prepare<[number], NoticeRecord>(
    `SELECT n.*, s.boot_id FROM notice n JOIN session s ON s.id = n.session
     WHERE n.state = 'waiting' AND ${sound("notice", "n")} ORDER BY n.id LIMIT ?`,
  );
  const sums = db.prepare<[], WaySum>(
    `SELECT way, max(CASE state WHEN 'sent' THEN done_wall END) AS lastSentWall,
       count(CASE state WHEN 'given-up' THEN 1 END) AS givenUp,
       max(CASE state WHEN 'given-up' THEN done_wall END) AS lastGivenUpWall
     FROM notice GROUP BY way`,
  );

  return {
    noticesKept(notices) {
      return notices.flatMap(({ key, way, payload, at }) =>
        insert.run(key, way, session, wallOf(at), at.mono, jsonOrNull(payload)).changes === 1 ? [key] : [],
      );
    },
    noticesChanged({ keys, standing }) {
      const { state, message, attempts, nextWall, doneWall, error } = standing;
      for (const key of keys) change.run(state, message, attempts, nextWall, doneWall, error, key);
      return null;
    },
    noticesPruned(beforeWall) {
      prune.run({ before: beforeWall });
      return null;
    },
    noticesLeft: () => ({ waiting: waiting.all(MOST_WAITING).map(noticeOf), ways: sums.all() }),
  };
}
