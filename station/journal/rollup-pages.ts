import type { BytesName } from "./checked-bytes.js";
import type { Db } from "./database.js";
import { createCountedMinutes, unlessDamaged } from "./kept-minutes.js";
import {
  at,
  emptyRollup,
  MINUTE_MS,
  PAGED_WIDTHS,
  pageOf,
  type Rollup,
  rollupsOf,
  takeRollup,
  widened,
} from "./rollup.js";
import { decodePage, encodePage, pageName } from "./rollup-codec.js";

/** The wider rollups of sealed readings, as they are written. */
export interface RollupPages {
  /**
   * Adds the minutes of a block of one channel, which is there with them already, to the pages of every wider width. A page that
   * cannot be read is made anew from the minutes of all blocks: sealing must not stand still for it.
   */
  add(channel: number, minutes: readonly Rollup[]): void;
}

export function createRollupPages(db: Db): RollupPages {
  const find = db
    .prepare<[number, number, number], Uint8Array>(
      "SELECT data FROM rollup_page WHERE channel = ? AND width = ? AND page = ?",
    )
    .pluck();
  const save = db.prepare(
    `INSERT INTO rollup_page (channel, width, page, data) VALUES (?, ?, ?, ?)
     ON CONFLICT (channel, width, page) DO UPDATE SET data = excluded.data`,
  );

  const counted = createCountedMinutes(db);

  return {
    add(channel, minutes) {
      for (const width of PAGED_WIDTHS) {
        for (const [page, rollups] of byPage(widened(minutes, MINUTE_MS, width))) {
          const name = pageName(channel, width, page);
          const known = find.get(channel, width, page);
          const there = known === undefined ? [] : unlessDamaged(() => pageRollups(name, known));
          if (there === null) {
            save.run(channel, width, page, encodePage(name, counted.ofPage(channel, width, page)));
            continue;
          }
          const held = new Map(there.map((rollup) => [rollup.place, rollup]));
          for (const rollup of rollups) takeRollup(at(held, rollup.place), rollup);
          save.run(channel, width, page, encodePage(name, held.values()));
        }
      }
    },
  };
}

export function byPage(rollups: readonly Rollup[]): Map<number, Rollup[]> {
  const pages = new Map<number, Rollup[]>();
  for (const rollup of rollups) {
    const page = pages.get(pageOf(rollup.place));
    if (page === undefined) pages.set(pageOf(rollup.place), [rollup]);
    else page.push(rollup);
  }
  return pages;
}

/** Those of a page that are not empty. @throws DamagedBytes */
export function pageRollups(name: BytesName, page: Uint8Array): Rollup[] {
  return rollupsOf(decodePage(name, page))
    .filter(({ count, bad }) => count > 0 || bad > 0)
    .map((rollup) => (rollup.count > 0 ? rollup : { ...emptyRollup(rollup.place), bad: rollup.bad }));
}
