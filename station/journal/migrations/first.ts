/** Readings as rows, runs, alarms, settings and maintenance. */
export const first = `
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
