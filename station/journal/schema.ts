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
 * Room left for sealed blocks and rollups. A block is made of whole stretches: their rows, channel by channel, then the
 * rows and their `stretch` go. Two things must stay true. The newest stretch is never sealed, because SQLite hands out
 * ids as the greatest one in the table plus one; and a block keeps the ids of its rows, because replaying a window
 * depends on the order across channels in which readings were written. Rollups go by the same (channel, wall) as `series`.
 */

export interface Migration {
  readonly version: number;
  readonly sql: string;
}

/** "LWSJ": tells a journal from any other SQLite file (`PRAGMA application_id`). */
export const APPLICATION_ID = 0x4c57534a;

/** Readings in a stretch before a new one is begun. */
export const STRETCH_ROWS = 4096;

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

/** In rising order of version, without gaps, from 1. */
export const MIGRATIONS: readonly Migration[] = [{ version: 1, sql: first }];
