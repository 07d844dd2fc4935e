import type { Db } from "../database.js";
import { createCountedMinutes, unlessDamaged } from "../kept-minutes.js";
import {
  at,
  emptyRollup,
  MINUTE_MS,
  PAGED_WIDTHS,
  pageOf,
  type Rollup,
  takeRollup,
  widened,
} from "../rollup.js";
import { encodePage, pageName } from "../rollup-codec.js";
import { pageRollups } from "../rollup-pages.js";

/** The wider rollups of sealed readings, worked out anew where readings have come or gone. */
export interface Recount {
  /**
   * @param left minutes that readings of the channel have left, whose block holds its new minutes by now
   * @param come minutes they have come to
   */
  moved(channel: number, left: readonly Rollup[], come: readonly Rollup[]): void;
}

export function createRecount(db: Db): Recount {
  const find = db
    .prepare<[number, number, number], Uint8Array>(
      "SELECT data FROM rollup_page WHERE channel = ? AND width = ? AND page = ?",
    )
    .pluck();
  const save = db.prepare(
    `INSERT INTO rollup_page (channel, width, page, data) VALUES (?, ?, ?, ?)
     ON CONFLICT (channel, width, page) DO UPDATE SET data = excluded.data`,
  );
  const remove = db.prepare("DELETE FROM rollup_page WHERE channel = ? AND width = ? AND page = ?");

  const minutes = createCountedMinutes(db);

  /** What the minutes of all blocks add up to at one place; null where those of some block are lost. */
  function counted(channel: number, width: number, place: number): Rollup | null {
    const within = minutes.between(channel, place * width, (place + 1) * width);
    if (within.lost) return null;
    const sum = emptyRollup(place);
    for (const minute of within.minutes) takeRollup(sum, minute);
    return sum;
  }

  function recount(
    channel: number,
    width: number,
    page: number,
    places: readonly number[],
    come: readonly Rollup[],
  ) {
    const name = pageName(channel, width, page);
    const known = find.get(channel, width, page);
    const there = known === undefined ? [] : unlessDamaged(() => pageRollups(name, known));
    if (there === null) {
      save.run(channel, width, page, encodePage(name, minutes.ofPage(channel, width, page)));
      return;
    }
    const held = new Map(there.map((rollup) => [rollup.place, rollup]));
    for (const place of places) {
      const sum = counted(channel, width, place);
      if (sum !== null) held.set(place, sum);
      else {
        // What the page holds of a lost block is all there is of it, so what has come is added to that.
        for (const rollup of come) if (rollup.place === place) takeRollup(at(held, place), rollup);
      }
    }
    const left = [...held.values()].filter(({ count, bad }) => count > 0 || bad > 0);
    if (left.length === 0) remove.run(channel, width, page);
    else save.run(channel, width, page, encodePage(name, left));
  }

  return {
    moved(channel, left, come) {
      for (const width of PAGED_WIDTHS) {
        const wideCome = widened(come, MINUTE_MS, width);
        const touched = new Set([...widened(left, MINUTE_MS, width), ...wideCome].map(({ place }) => place));
        for (const page of new Set([...touched].map(pageOf))) {
          const places = [...touched].filter((place) => pageOf(place) === page);
          recount(channel, width, page, places, wideCome);
        }
      }
    },
  };
}
