import { PAGE_ROLLUPS } from "../rollup.js";
import { LIVE_COLUMNS, liveMinutesQuery, WIDE_MS } from "../schema.js";

/** Sealed blocks, and rollups. */
export const second = `
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
