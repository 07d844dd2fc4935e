import { fifth } from "./migrations/fifth.js";
import { first } from "./migrations/first.js";
import { fourth } from "./migrations/fourth.js";
import { second } from "./migrations/second.js";
import { third } from "./migrations/third.js";

/**
 * Brings a file to what `schema.ts` describes. A migration that has been released is never edited: a change is a new one at
 * the end. The number of the last one applied is SQLite's `user_version`.
 */
export interface Migration {
  readonly version: number;
  readonly sql: string;
}

/** In rising order of version, without gaps, from 1. */
export const MIGRATIONS: readonly Migration[] = [
  { version: 1, sql: first },
  { version: 2, sql: second },
  { version: 3, sql: third },
  { version: 4, sql: fourth },
  { version: 5, sql: fifth },
];
