import type { KeptEntry } from "../../model/entry.js";
import type { Db } from "../database.js";
import { sound } from "../row-checks.js";
import { type EntryRecord, entryOf } from "./rows.js";

/** Plans whose entries are remembered: the one that is running and those somebody looks at. */
const MOST_PLANS = 4;

interface Remembered {
  readonly last: number;
  /** How many spans were placed when they were read: placing changes the times of entries. */
  readonly placed: number;
  readonly entries: readonly KeptEntry[];
}

/**
 * Entries of a plan, oldest first. Entries are only ever added, so that those that were read, and whose
 * checksums were looked at, are remembered, and only newer ones are read.
 * @param which of them, in SQL
 */
export function createEntriesOfPlan(db: Db, which: string): (plan: number) => readonly KeptEntry[] {
  const after = db.prepare<[number, number], EntryRecord>(
    `SELECT * FROM trial_entry WHERE plan = ? AND ${which} AND id > ? AND ${sound("trial_entry")} ORDER BY id`,
  );
  const placedSpans = db.prepare<[], number>("SELECT count(*) FROM placed_span").pluck();
  const remembered = new Map<number, Remembered>();

  return (plan) => {
    const placed = placedSpans.get() as number;
    const known = remembered.get(plan);
    const before = known?.placed === placed ? known : { last: 0, placed, entries: [] };
    const rows = after.all(plan, before.last);
    const entries = rows.length === 0 ? before.entries : [...before.entries, ...rows.map(entryOf)];
    remembered.delete(plan);
    remembered.set(plan, { last: rows.at(-1)?.id ?? before.last, placed, entries });
    for (const oldest of remembered.keys()) {
      if (remembered.size <= MOST_PLANS) break;
      remembered.delete(oldest);
    }
    return entries;
  };
}
