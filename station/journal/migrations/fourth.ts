/** Lots, plans, specimens, and what is entered about them. Each row carries its checksum (`row-checks.ts`). */
export const fourth = `
-- What the owner entered of a lot; what it was before is in setting_change, under lot:<id>.
CREATE TABLE lot (
  number INTEGER PRIMARY KEY CHECK (number >= 1),
  id TEXT NOT NULL UNIQUE,
  session INTEGER NOT NULL REFERENCES session (id),
  wall INTEGER NOT NULL,
  mono INTEGER NOT NULL,
  facts TEXT NOT NULL,
  crc INTEGER
);

CREATE TABLE plan (
  number INTEGER PRIMARY KEY CHECK (number >= 1),
  id TEXT NOT NULL UNIQUE,
  session INTEGER NOT NULL REFERENCES session (id),
  wall INTEGER NOT NULL,
  mono INTEGER NOT NULL,
  facts TEXT NOT NULL,
  crc INTEGER
);

-- A specimen never changes: what became of it is in trial_entry, and its run carries its code.
CREATE TABLE specimen (
  id INTEGER PRIMARY KEY,
  code TEXT NOT NULL UNIQUE,
  plan INTEGER NOT NULL REFERENCES plan (number),
  session INTEGER NOT NULL REFERENCES session (id),
  block INTEGER NOT NULL,
  place INTEGER NOT NULL,
  lot INTEGER NOT NULL REFERENCES lot (number),
  setting TEXT NOT NULL,
  replaces TEXT REFERENCES specimen (code),
  crc INTEGER,
  UNIQUE (plan, block, place)
);
CREATE TRIGGER specimen_fixed BEFORE UPDATE OF code, plan, session, block, place, lot, setting, replaces ON specimen BEGIN
  SELECT RAISE(ABORT, 'a specimen stays as it was planned');
END;

-- Entries are only added: the latest of a kind, subject and property is in force, those before it are what it was.
CREATE TABLE trial_entry (
  id INTEGER PRIMARY KEY,
  entry TEXT NOT NULL UNIQUE,
  session INTEGER NOT NULL REFERENCES session (id),
  wall INTEGER NOT NULL,
  mono INTEGER NOT NULL,
  -- The plan it belongs to; null for what is about a lot.
  plan INTEGER REFERENCES plan (number),
  kind TEXT NOT NULL,
  subject TEXT NOT NULL,
  property TEXT NOT NULL,
  body TEXT NOT NULL,
  -- By the clock of the screen on which it was entered.
  entered_wall INTEGER,
  by TEXT,
  crc INTEGER
);
CREATE INDEX trial_entry_by_subject ON trial_entry (kind, subject, id);
CREATE INDEX trial_entry_by_plan ON trial_entry (plan, kind, id) WHERE plan IS NOT NULL;
CREATE TRIGGER trial_entry_kept BEFORE DELETE ON trial_entry BEGIN
  SELECT RAISE(ABORT, 'an entry is kept for ever');
END;

-- Which specimen a run was of, as its settings say; for looking up, while what is shown is taken from the settings. No index on
-- the JSON itself: the check of a damaged file would end at the first row that is none.
ALTER TABLE run ADD COLUMN specimen TEXT;
UPDATE run SET specimen = json_extract(settings, '$.specimen') WHERE json_valid(settings);
CREATE INDEX run_by_specimen ON run (specimen) WHERE specimen IS NOT NULL;
`;
