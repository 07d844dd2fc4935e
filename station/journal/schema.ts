import { PAGE_ROLLUPS, QUARTER_MS } from "./rollup.js";
import { ADD_ROW_CRCS, FILL_ROW_CRCS } from "./row-checks.js";
import { SUM_OF_ROWS } from "./stretch-sums.js";
import { MAKE_WIDER_PAGES } from "./wider-pages.js";

/**
 * The journal's tables, as numbered migrations. A migration that has been released is never edited: a change is a new
 * one at the end. The number of the last one applied is SQLite's `user_version`.
 *
 * Times: `wall` is UTC milliseconds, `mono` milliseconds since the machine booted (comparable within one boot id only).
 *
 * Why `reading` has no index. Rows arrive in the order of time, so a stretch of neighbouring rows is also a stretch of
 * time, and `stretch` keeps the least and greatest times of each (some 4000 rows): a question about a window finds the
 * few stretches that overlap it and walks their rows in order. An index on (channel, wall) would double the file and,
 * with ten channels, would have every two-second commit rewrite some ten 4096-byte pages where two do: on an SD card
 * that is wear. A jump of the wall clock only makes one stretch wide, which costs its walk and nothing else.
 *
 * Sealed blocks. The oldest stretches of a session, some hour of them, become a group: a block for each channel, whose
 * rows and stretches then go, in one transaction. Groups are made in the order of their ids, so every sealed reading has a
 * lesser id than every row. The newest stretch is never sealed, because SQLite hands out ids as the greatest one in the
 * table plus one; and a block keeps the ids of its rows, because replaying a window depends on the order across channels
 * in which readings were written. Blocks are in a table with rowids: without, it takes 2.2 times the file.
 *
 * Rollups, by the wall clock: minutes, quarters of an hour, two hours and days of UTC. A commit keeps those of the newest
 * minutes only, for each stretch by itself, so that it rewrites one page more; sealing a group writes its minutes beside
 * its blocks and adds to the wider ones. So each reading is counted once at every width: in `live_minute` while it is a
 * row, and in `block_minutes` and `rollup_page` once it is in a block.
 */

export interface Migration {
  readonly version: number;
  readonly sql: string;
}

/** From this version on rows carry checksums. */
export const ROW_CHECKS_SINCE = 3;

/** "LWSJ": tells a journal from any other SQLite file (`PRAGMA application_id`). */
export const APPLICATION_ID = 0x4c57534a;

/** Readings in a stretch before a new one is begun. */
export const STRETCH_ROWS = 4096;
/** Monotonic milliseconds that a stretch spans before a new one is begun at the next commit. */
export const STRETCH_MS = 3_600_000;

/** A block whose readings lie further apart than this, by the wall clock, is a wide one, as is a longer run; milliseconds. */
export const WIDE_MS = 86_400_000;

/** When a run began and ended, as well as is known; as the indexes of runs have it. */
export const RUN_START = "coalesce(placed_start, start_wall)";
/** Never before the beginning, whatever became of the clock meanwhile; null while it is open. */
export const RUN_END = `max(coalesce(placed_end, end_wall), ${RUN_START})`;

export const LIVE_COLUMNS = "stretch, minute, channel, min, max, sum, count, bad";

/**
 * The rollups of the rows of some stretches (`s`), worked out from them. The remainder takes times before 1970 downwards
 * too.
 */
export function liveMinutesQuery(where: string): string {
  return `SELECT s.first_id AS stretch,
    CAST((r.wall - ((r.wall % 60000) + 60000) % 60000) / 60000 AS INTEGER) AS minute, r.channel,
    min(r.value) AS min, max(r.value) AS max, coalesce(total(r.value), 0) AS sum, count(r.value) AS count, sum(r.quality = 2) AS bad
  FROM stretch s CROSS JOIN reading r ON r.id BETWEEN s.first_id AND s.last_id ${where}
  GROUP BY s.first_id, minute, r.channel`;
}

const first = `
-- One row for each start of the station.
CREATE TABLE session (
  id INTEGER PRIMARY KEY,
  start TEXT NOT NULL UNIQUE,
  boot_id TEXT NOT NULL,
  started_wall INTEGER NOT NULL,
  started_mono INTEGER NOT NULL,
  clock TEXT NOT NULL,
  version TEXT NOT NULL,
  simulated INTEGER NOT NULL CHECK (simulated IN (0, 1)),
  config_hash TEXT NOT NULL,
  -- The last parcel of this session that was committed with an action that writes.
  parcel INTEGER NOT NULL DEFAULT 0
);
CREATE INDEX session_by_boot ON session (boot_id);

CREATE TABLE channel (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE
);

-- What a channel was, each time that changed: the newest row is the one in force.
CREATE TABLE channel_definition (
  id INTEGER PRIMARY KEY,
  channel INTEGER NOT NULL REFERENCES channel (id),
  session INTEGER NOT NULL REFERENCES session (id),
  name TEXT NOT NULL,
  kind TEXT NOT NULL,
  unit TEXT NOT NULL,
  definition TEXT NOT NULL
);
CREATE INDEX channel_definition_by_channel ON channel_definition (channel);

-- Quality: 0 good, 1 uncertain, 2 bad.
CREATE TABLE reading (
  id INTEGER PRIMARY KEY,
  channel INTEGER NOT NULL REFERENCES channel (id),
  session INTEGER NOT NULL REFERENCES session (id),
  wall INTEGER NOT NULL,
  mono INTEGER NOT NULL,
  value REAL,
  quality INTEGER NOT NULL,
  reason TEXT
);

-- Readings first_id to last_id are all of one session and lie between these times.
CREATE TABLE stretch (
  first_id INTEGER PRIMARY KEY,
  last_id INTEGER NOT NULL,
  session INTEGER NOT NULL REFERENCES session (id),
  min_wall INTEGER NOT NULL,
  max_wall INTEGER NOT NULL,
  min_mono INTEGER NOT NULL,
  max_mono INTEGER NOT NULL,
  -- The last parcel that put readings into it.
  parcel INTEGER NOT NULL
);

CREATE TABLE run (
  number INTEGER PRIMARY KEY CHECK (number >= 1),
  id TEXT NOT NULL UNIQUE,
  session INTEGER NOT NULL REFERENCES session (id),
  cause TEXT NOT NULL,
  start_wall INTEGER NOT NULL,
  start_mono INTEGER NOT NULL,
  boot_id TEXT NOT NULL,
  clock_at_start TEXT NOT NULL,
  settings TEXT NOT NULL,
  simulated INTEGER NOT NULL CHECK (simulated IN (0, 1)),
  end_wall INTEGER,
  end_mono INTEGER,
  end_cause TEXT,
  stamp TEXT,
  CHECK ((end_wall IS NULL) = (end_mono IS NULL) AND (end_wall IS NULL) = (end_cause IS NULL)
    AND (end_wall IS NULL) = (stamp IS NULL))
);
CREATE INDEX run_open ON run (number) WHERE end_wall IS NULL;

CREATE TRIGGER run_frozen BEFORE UPDATE ON run
WHEN OLD.stamp IS NOT NULL AND (NEW.stamp IS NOT OLD.stamp OR NEW.end_wall IS NOT OLD.end_wall
  OR NEW.end_mono IS NOT OLD.end_mono OR NEW.end_cause IS NOT OLD.end_cause)
BEGIN
  SELECT RAISE(ABORT, 'the stamp is frozen with its run');
END;

CREATE TABLE setting_change (
  id INTEGER PRIMARY KEY,
  session INTEGER NOT NULL REFERENCES session (id),
  wall INTEGER NOT NULL,
  mono INTEGER NOT NULL,
  subject TEXT NOT NULL,
  path TEXT NOT NULL,
  old TEXT,
  new TEXT,
  by TEXT
);
CREATE INDEX setting_change_by_subject ON setting_change (subject, id);

CREATE TABLE alarm_transition (
  seq INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  session INTEGER NOT NULL REFERENCES session (id),
  alarm TEXT NOT NULL,
  kind TEXT NOT NULL,
  title TEXT NOT NULL,
  priority TEXT NOT NULL,
  transition TEXT NOT NULL,
  from_state TEXT NOT NULL,
  to_state TEXT NOT NULL,
  wall INTEGER NOT NULL,
  mono INTEGER NOT NULL,
  detail TEXT NOT NULL,
  run TEXT,
  by TEXT
);
CREATE INDEX alarm_transition_by_alarm ON alarm_transition (alarm, seq);

CREATE TABLE maintenance (
  id INTEGER PRIMARY KEY,
  session INTEGER NOT NULL REFERENCES session (id),
  kind TEXT NOT NULL,
  wall INTEGER NOT NULL,
  mono INTEGER NOT NULL,
  note TEXT NOT NULL
);
CREATE INDEX maintenance_by_kind ON maintenance (kind, id);
`;

const second = `
-- Readings first_id to last_id, sealed: all of one session, in the blocks from first_block onwards.
CREATE TABLE sealed (
  first_id INTEGER PRIMARY KEY,
  last_id INTEGER NOT NULL,
  session INTEGER NOT NULL REFERENCES session (id),
  min_wall INTEGER NOT NULL,
  max_wall INTEGER NOT NULL,
  min_mono INTEGER NOT NULL,
  max_mono INTEGER NOT NULL,
  first_block INTEGER NOT NULL,
  blocks INTEGER NOT NULL
);
CREATE INDEX sealed_by_session ON sealed (session, max_mono);

CREATE TABLE block (
  id INTEGER PRIMARY KEY,
  sealed INTEGER NOT NULL REFERENCES sealed (first_id),
  channel INTEGER NOT NULL REFERENCES channel (id),
  min_wall INTEGER NOT NULL,
  max_wall INTEGER NOT NULL,
  readings INTEGER NOT NULL,
  data BLOB NOT NULL
);
CREATE INDEX block_by_wall ON block (channel, min_wall, max_wall);
-- Where a clock was set within a block it may reach over years: the few of them are looked through each time, so that
-- of the others only those that begin near the window need be.
CREATE INDEX block_wide ON block (channel) WHERE max_wall - min_wall > ${WIDE_MS};

-- The rollups of a block's minutes.
CREATE TABLE block_minutes (
  block INTEGER PRIMARY KEY REFERENCES block (id),
  data BLOB NOT NULL
);

-- The rollups of sealed readings at a wider width (milliseconds), ${PAGE_ROLLUPS} neighbours to a page.
CREATE TABLE rollup_page (
  id INTEGER PRIMARY KEY,
  channel INTEGER NOT NULL REFERENCES channel (id),
  width INTEGER NOT NULL,
  page INTEGER NOT NULL,
  data BLOB NOT NULL,
  UNIQUE (channel, width, page)
);

-- The rollups of readings that are rows. min and max are null where no reading has a value.
CREATE TABLE live_minute (
  stretch INTEGER NOT NULL REFERENCES stretch (first_id),
  minute INTEGER NOT NULL,
  channel INTEGER NOT NULL REFERENCES channel (id),
  min REAL,
  max REAL,
  sum REAL NOT NULL,
  count INTEGER NOT NULL,
  bad INTEGER NOT NULL,
  PRIMARY KEY (stretch, minute, channel)
) WITHOUT ROWID;
INSERT INTO live_minute (${LIVE_COLUMNS}) ${liveMinutesQuery("")};
`;

const third = `
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

/** In rising order of version, without gaps, from 1. */
export const MIGRATIONS: readonly Migration[] = [
  { version: 1, sql: first },
  { version: 2, sql: second },
  { version: 3, sql: third },
];
