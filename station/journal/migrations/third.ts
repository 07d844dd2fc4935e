import { QUARTER_MS } from "../rollup.js";
import { ADD_ROW_CRCS, FILL_ROW_CRCS } from "../row-checks.js";
import { RUN_END, RUN_START, WIDE_MS } from "../schema.js";
import { SUM_OF_ROWS } from "../stretch-sums.js";
import { MAKE_WIDER_PAGES } from "../wider-pages.js";

/** Marks found by time, the rule of keeping, clocks that are set late, checksums of rows, and wider rollups. */
export const third = `
-- The true times of a run from before the clock was set; those of its stamp stay as they were.
ALTER TABLE run ADD COLUMN placed_start INTEGER;
ALTER TABLE run ADD COLUMN placed_end INTEGER;

-- The marks of a chart, found by the wall clock, and counted without a look at the runs and alarms themselves. A run begins
-- at most a day before a window that it reaches into, but for the few longer ones, which are looked through each time.
CREATE INDEX run_by_wall ON run (${RUN_START}, ${RUN_END});
CREATE INDEX run_long ON run (number) WHERE ${RUN_END} IS NULL OR ${RUN_END} - ${RUN_START} > ${WIDE_MS};
CREATE INDEX alarm_raised_by_wall ON alarm_transition (wall, priority) WHERE transition = 'raised';
CREATE INDEX maintenance_by_wall ON maintenance (wall);

-- Blocks that the owner's rule of keeping was applied to, and how many of their readings it took away: none, where all are
-- of the windows of runs. Of those that are gone the minutes are all there is.
CREATE TABLE thinned (
  block INTEGER PRIMARY KEY REFERENCES block (id),
  removed INTEGER NOT NULL
);
CREATE INDEX run_by_boot ON run (boot_id, start_mono, end_mono);

-- Each time the wall clock was set, and each time it became known to be set, or not to be: by how much, and how it was
-- before and after. shift is in milliseconds, above 0 for forward.
CREATE TABLE clock_step (
  id INTEGER PRIMARY KEY,
  session INTEGER NOT NULL REFERENCES session (id),
  wall INTEGER NOT NULL,
  mono INTEGER NOT NULL,
  shift INTEGER NOT NULL,
  before TEXT NOT NULL,
  after TEXT NOT NULL,
  UNIQUE (session, mono)
);

-- What was recorded of a boot from from_mono on, before the clock was set at to_mono (not included): its wall time is its
-- monotonic time and ahead. Stretches up to first id row_done and blocks up to block_done have been placed.
CREATE TABLE placed_span (
  id INTEGER PRIMARY KEY,
  boot_id TEXT NOT NULL,
  from_mono INTEGER NOT NULL,
  to_mono INTEGER NOT NULL,
  ahead INTEGER NOT NULL,
  row_done INTEGER NOT NULL DEFAULT 0,
  block_done INTEGER NOT NULL DEFAULT 0,
  done INTEGER NOT NULL DEFAULT 0 CHECK (done IN (0, 1)),
  UNIQUE (boot_id, from_mono)
);
CREATE INDEX placed_span_begun ON placed_span (id) WHERE done = 0;

-- How often the blocks of a group were placed anew.
ALTER TABLE sealed ADD COLUMN revision INTEGER NOT NULL DEFAULT 0;

-- Checksums of rows, which SQLite has none for. The functions are the station's own.
ALTER TABLE stretch ADD COLUMN sum INTEGER;
UPDATE stretch SET sum = ${SUM_OF_ROWS};
${ADD_ROW_CRCS}
${FILL_ROW_CRCS}

-- Two hours and days in the place of four hours, from the quarters.
DELETE FROM rollup_page WHERE width <> ${QUARTER_MS};
${MAKE_WIDER_PAGES}
`;
