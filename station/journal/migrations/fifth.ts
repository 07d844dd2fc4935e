/** Who did what, and what is to be told outward. Each row carries its checksum (`row-checks.ts`). */
export const fifth = `
-- Deeds are only added.
CREATE TABLE deed (
  id INTEGER PRIMARY KEY,
  session INTEGER NOT NULL REFERENCES session (id),
  wall INTEGER NOT NULL,
  mono INTEGER NOT NULL,
  -- Null where nobody was known.
  who TEXT,
  role TEXT,
  address TEXT,
  what TEXT NOT NULL,
  subject TEXT NOT NULL,
  outcome TEXT NOT NULL,
  -- JSON.
  detail TEXT,
  crc INTEGER
);
CREATE INDEX deed_by_what ON deed (what, id);
CREATE TRIGGER deed_kept BEFORE DELETE ON deed BEGIN
  SELECT RAISE(ABORT, 'a deed is kept for ever');
END;
-- Its wall time is another once a clock that nobody had set is.
CREATE TRIGGER deed_fixed
  BEFORE UPDATE OF id, session, mono, who, role, address, what, subject, outcome, detail ON deed BEGIN
  SELECT RAISE(ABORT, 'a deed stays as it was');
END;

-- What is to be told by one way, once: its key is that of the way and of what is told. Several may go out in one message, which
-- has a key of its own and keeps it at every try, so that who receives it twice can tell.
CREATE TABLE notice (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE,
  way TEXT NOT NULL,
  session INTEGER NOT NULL REFERENCES session (id),
  wall INTEGER NOT NULL,
  mono INTEGER NOT NULL,
  -- JSON.
  payload TEXT NOT NULL,
  state TEXT NOT NULL DEFAULT 'waiting' CHECK (state IN ('waiting', 'sent', 'given-up')),
  message TEXT,
  attempts INTEGER NOT NULL DEFAULT 0,
  -- When it is tried next, and when it was sent or given up, by the wall clock.
  next_wall INTEGER,
  done_wall INTEGER,
  error TEXT,
  crc INTEGER
);
CREATE INDEX notice_waiting ON notice (id) WHERE state = 'waiting';
CREATE INDEX notice_done ON notice (way, state, id);
CREATE INDEX notice_old ON notice (done_wall) WHERE state <> 'waiting';
`;
