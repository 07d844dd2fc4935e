import type { Db } from "./database.js";
import { unlessDamaged } from "./kept-minutes.js";
import { DAY_MS, QUARTER_MS, type Rollup, TWO_HOURS_MS, widened } from "./rollup.js";
import { encodePage, pageName } from "./rollup-codec.js";
import { pageRollups } from "./rollup-pages.js";

/** The pages of a wider width out of those of quarters, in SQL. The remainder takes pages before 1970 downwards too. */
function makePages(width: number): string {
  const many = width / QUARTER_MS;
  const wide = `(page - ((page % ${many}) + ${many}) % ${many}) / ${many}`;
  return `INSERT INTO rollup_page (channel, width, page, data)
    SELECT channel, ${width}, ${wide} AS wide, wider_page(channel, ${width}, ${wide}, page, data)
    FROM rollup_page WHERE width = ${QUARTER_MS} GROUP BY channel, wide;`;
}

/** To be run in a migration, where there are pages of quarters and none of a wider width. */
export const MAKE_WIDER_PAGES = [TWO_HOURS_MS, DAY_MS].map(makePages).join("\n");

interface Gathered {
  channel: number;
  width: number;
  page: number;
  /** Null once one of the pages turned out to be damaged. */
  quarters: Rollup[] | null;
}

/** Of no known format: it is refused, and not shown with a hole in it, until it is repaired from the minutes. */
const DAMAGED = Buffer.from([0]);

/** Gives a connection what the migration needs. */
export function defineWiderPages(db: Db): void {
  db.aggregate<Gathered>("wider_page", {
    varargs: true,
    deterministic: true,
    start: () => ({ channel: 0, width: 0, page: 0, quarters: [] }),
    step(into, ...of: unknown[]) {
      const [channel, width, page, quarter, data] = of as [number, number, number, number, Uint8Array];
      const quarters = unlessDamaged(() => pageRollups(pageName(channel, QUARTER_MS, quarter), data));
      if (quarters === null) into.quarters = null;
      else into.quarters?.push(...quarters);
      return Object.assign(into, { channel, width, page });
    },
    result({ channel, width, page, quarters }) {
      if (quarters === null) return DAMAGED;
      return Buffer.from(encodePage(pageName(channel, width, page), widened(quarters, QUARTER_MS, width)));
    },
  });
}
