import { AppError } from "../errors.js";
import type { Deed, KeptDeed } from "../model/deed.js";
import type { Instant } from "../model/instant.js";
import type { Db } from "./database.js";
import type { PageRequest } from "./reader-calls.js";
import { sound } from "./row-checks.js";
import { jsonOrNull } from "./rows.js";

const MOST_ROWS = 500;

export interface LastDeedsRequest {
  /** Deeds of these kinds. */
  readonly what: readonly string[];
  /** 1 to 500. */
  readonly limit: number;
}

/** What the writing thread does: in the order it is asked, so that a deed is among the last as soon as it was handed over. */
export interface DeedActionMap {
  deed: { params: Deed; result: null };
  /** The newest of these kinds, newest first. */
  lastDeeds: { params: LastDeedsRequest; result: KeptDeed[] };
}

export interface DeedsRequest extends PageRequest {
  /** Only deeds of these kinds. */
  readonly what?: readonly string[];
}

export interface DeedReads {
  deeds: {
    params: DeedsRequest;
    result: { readonly deeds: readonly KeptDeed[]; readonly more: boolean };
  };
}

interface DeedRecord {
  readonly id: number;
  readonly boot_id: string;
  readonly wall: number;
  readonly mono: number;
  readonly who: string | null;
  readonly role: string | null;
  readonly address: string | null;
  readonly what: string;
  readonly subject: string;
  readonly outcome: string;
  readonly detail: string | null;
}

function deedOf(row: DeedRecord): KeptDeed {
  const { id, who, role, address, what, subject, outcome, detail, wall, mono } = row;
  const more = detail === null ? {} : { detail: JSON.parse(detail) as unknown };
  return {
    ...{ id, bootId: row.boot_id, who, role, address, what, subject, outcome },
    ...more,
    at: { wall, mono },
  };
}

/** Newest first: all, or those of some kinds, as a JSON array of their words. */
function newest(db: Db) {
  const question = (of: string) =>
    `SELECT d.*, s.boot_id FROM deed d JOIN session s ON s.id = d.session
     WHERE ${of} d.id < coalesce(?, 9223372036854775807) AND ${sound("deed", "d")} ORDER BY d.id DESC LIMIT ?`;
  const all = db.prepare<[number | null, number], DeedRecord>(question(""));
  const some = db.prepare<[string, number | null, number], DeedRecord>(
    question("d.what IN (SELECT value FROM json_each(?)) AND"),
  );
  return (what: readonly string[] | undefined, before: number | undefined, limit: number) =>
    (what === undefined
      ? all.all(before ?? null, limit)
      : some.all(JSON.stringify(what), before ?? null, limit)
    ).map(deedOf);
}

function checkedLimit(limit: number): number {
  if (Number.isInteger(limit) && limit >= 1 && limit <= MOST_ROWS) return limit;
  throw new AppError("request-invalid", `A page has 1 to ${MOST_ROWS} rows.`);
}

type Handlers = {
  readonly [K in keyof DeedActionMap]: (params: DeedActionMap[K]["params"]) => DeedActionMap[K]["result"];
};

/** Inside a transaction of the caller's. */
export function createDeedActions(db: Db, session: number, wallOf: (at: Instant) => number): Handlers {
  const insert = db.prepare(
    `INSERT INTO deed (session, wall, mono, who, role, address, what, subject, outcome, detail)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
  );
  const last = newest(db);
  return {
    deed({ who, role, address, what, subject, outcome, detail, at }) {
      insert.run(
        ...[session, wallOf(at), at.mono, who, role, address, what, subject, outcome, jsonOrNull(detail)],
      );
      return null;
    },
    lastDeeds: ({ what, limit }) => last(what, undefined, checkedLimit(limit)),
  };
}

export function createDeedReads(db: Db) {
  const page = newest(db);
  return {
    deeds({ before, limit, what }: DeedsRequest): DeedReads["deeds"]["result"] {
      const most = checkedLimit(limit);
      const rows = page(what, before, most + 1);
      return { deeds: rows.slice(0, most), more: rows.length > most };
    },
  };
}
