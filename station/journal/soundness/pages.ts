import type { Db } from "../database.js";
import { keptMinutes, unlessDamaged } from "../kept-minutes.js";
import {
  at,
  DAY_MS,
  MINUTE_MS,
  PAGE_ROLLUPS,
  PAGED_WIDTHS,
  pageOf,
  type Rollup,
  takeRollup,
  widened,
} from "../rollup.js";
import { encodePage, pageName } from "../rollup-codec.js";
import { byPage, pageRollups } from "../rollup-pages.js";
import { isoWall, overlappingBlocks } from "../sealed.js";
import { alikeRollups } from "./alike.js";
import { BLOCK_COLUMNS, BLOCK_JOINS, dueMinutes, readable, type Seen, type StoredBlock } from "./blocks.js";
import type { Found, Part } from "./part.js";

/** Some four months: a page of days, and the pages of the lesser widths that fill it. */
const PAGE_MS = PAGE_ROLLUPS * DAY_MS;

interface Window {
  readonly channel: number;
  readonly from: number;
  readonly to: number;
}

type Span = Pick<StoredBlock, "min_wall" | "max_wall">;

interface Place {
  readonly channel: number;
  readonly name: string;
  readonly page: number;
  readonly blocks: readonly number[];
  readonly doubtful: boolean;
}

/**
 * The wider rollups of sealed readings, four months of a channel at a time: are they what the minutes of the blocks add up
 * to? Begun after the blocks have been looked at, whose minutes are then right or known to be doubtful.
 * @param which "touched": only where those blocks lie
 */
export function createPageCheck(db: Db, seen: Seen, mend: boolean, which: "all" | "touched" = "all"): Part {
  // Those that have been sealed since the blocks were looked at.
  const byTime = db.prepare<Window, number>(overlappingBlocks("b.id", "")).pluck();
  const kept = db.prepare<[number], Omit<StoredBlock, "data" | "name">>(
    `SELECT ${BLOCK_COLUMNS} FROM block b ${BLOCK_JOINS} WHERE b.id = ?`,
  );
  const whole = db.prepare<[number], Omit<StoredBlock, "name">>(
    `SELECT ${BLOCK_COLUMNS}, b.data FROM block b ${BLOCK_JOINS} WHERE b.id = ?`,
  );
  const pages = db.prepare<[number, number, number, number], { page: number; data: Uint8Array }>(
    "SELECT page, data FROM rollup_page WHERE channel = ? AND width = ? AND page BETWEEN ? AND ?",
  );
  const save = db.prepare(
    `INSERT INTO rollup_page (channel, width, page, data) VALUES (?, ?, ?, ?)
     ON CONFLICT (channel, width, page) DO UPDATE SET data = excluded.data`,
  );
  const remove = db.prepare("DELETE FROM rollup_page WHERE channel = ? AND width = ? AND page = ?");
  let places: Place[] | null = null;
  let done = 0;

  /** The minutes of the blocks in a window, and the spans of those whose minutes cannot be known. */
  function minutesIn(window: Window, { name, blocks, doubtful }: Place) {
    const minutes = new Map<number, Rollup>();
    const lost: Span[] = [...seen.lost];
    for (const id of new Set([...blocks, ...byTime.all(window)])) {
      const block = (doubtful ? whole : kept).get(id) as Omit<StoredBlock, "name"> | undefined;
      // An index may still have what is gone; the group it was of has told so.
      if (block === undefined) continue;
      const held = keptMinutes(block);
      const due = doubtful ? dueMinutes(block, readable({ ...block, name }), held) : held;
      if (due === null) lost.push({ min_wall: block.min_wall, max_wall: block.max_wall });
      for (const rollup of due ?? []) {
        const wall = rollup.place * MINUTE_MS;
        if (wall >= window.from && wall < window.to) takeRollup(at(minutes, rollup.place), rollup);
      }
    }
    return { minutes: [...minutes.values()], lost };
  }

  function look(place: Place): Found[] {
    const { channel, name, page } = place;
    const window = { channel, from: page * PAGE_MS, to: (page + 1) * PAGE_MS };
    const { minutes, lost } = minutesIn(window, place);
    return PAGED_WIDTHS.flatMap((width) => {
      const [first, last] = spanOf(page, width);
      const expected = byPage(widened(minutes, MINUTE_MS, width));
      const stored = new Map(pages.all(channel, width, first, last).map((row) => [row.page, row.data]));
      const all = [...new Set([...expected.keys(), ...stored.keys()])].sort((a, b) => a - b);
      return all.flatMap((each) => {
        const rollups = expected.get(each) ?? [];
        const data = stored.get(each);
        const held =
          data === undefined ? [] : unlessDamaged(() => pageRollups(pageName(channel, width, each), data));
        // What a page still holds of a block that is lost altogether is all there is of it.
        if (held !== null && (lost.some((span) => within(span, width, each)) || alikeRollups(held, rollups)))
          return [];
        if (mend) put(channel, width, each, rollups);
        return [{ what: "rollups" as const, words: pageWords(name, width, each), mended: mend }];
      });
    });
  }

  function put(channel: number, width: number, page: number, rollups: readonly Rollup[]): void {
    if (rollups.length === 0) remove.run(channel, width, page);
    else save.run(channel, width, page, encodePage(pageName(channel, width, page), rollups));
  }

  return {
    step() {
      places ??= placesOf(db, seen, which === "all");
      const place = places[done];
      if (place === undefined) return null;
      done++;
      return { done, of: places.length, found: look(place) };
    },
  };
}

/** The pages of a width that one of days covers: the first and the last. */
function spanOf(page: number, width: number): [number, number] {
  const pages = DAY_MS / width;
  return [page * pages, (page + 1) * pages - 1];
}

/** Whether some of a span of time is in a page. */
function within({ min_wall, max_wall }: Span, width: number, page: number): boolean {
  return pageOf(Math.floor(min_wall / width)) <= page && page <= pageOf(Math.floor(max_wall / width));
}

function placesOf(db: Db, seen: Seen, untouched: boolean): Place[] {
  const stored = db
    .prepare<[number, number], number>("SELECT page FROM rollup_page WHERE channel = ? AND width = ?")
    .pluck();
  const channels = db.prepare<[], { id: number; name: string }>("SELECT id, name FROM channel ORDER BY id");
  return channels.all().flatMap(({ id: channel, name }) => {
    const touched = seen.pages.get(channel);
    const pages = new Set(touched?.keys());
    for (const width of untouched ? PAGED_WIDTHS : []) {
      for (const page of stored.all(channel, width)) pages.add(Math.floor(page / (DAY_MS / width)));
    }
    return [...pages]
      .sort((a, b) => a - b)
      .map((page) => ({ channel, name, page, blocks: [], doubtful: false, ...touched?.get(page) }));
  });
}

export function pageWords(name: string, width: number, page: number): string {
  const from = page * PAGE_ROLLUPS * width;
  const to = from + PAGE_ROLLUPS * width;
  return `The rollups over ${width / MINUTE_MS} min of ${name} from ${isoWall(from)} to ${isoWall(to)}`;
}
