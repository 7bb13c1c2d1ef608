"""The tables of the store, version by version, and the step from each version to the next.

A store carries its version in the file's own header (`user_version`), beside a mark that says whose file it is
(`application_id`). A step is run whole or not at all.
"""

MARK = 0x6472_7966  # "dryf": so that no other program's database is taken for a store

FIRST = """
CREATE TABLE cases (
  id TEXT PRIMARY KEY,
  reference TEXT NOT NULL DEFAULT '',
  earlier TEXT REFERENCES cases(id) ON DELETE SET NULL,
  kb TEXT NOT NULL DEFAULT '',
  journal TEXT NOT NULL DEFAULT '',
  began INTEGER NOT NULL,
  touched INTEGER NOT NULL
) WITHOUT ROWID;
CREATE TABLE rows (
  number INTEGER PRIMARY KEY AUTOINCREMENT,
  of TEXT NOT NULL REFERENCES cases(id) ON DELETE CASCADE,
  body TEXT NOT NULL
);
CREATE INDEX rows_of ON rows(of, number);
CREATE TABLE links (
  digest BLOB PRIMARY KEY,
  of TEXT NOT NULL REFERENCES cases(id) ON DELETE CASCADE
) WITHOUT ROWID;
CREATE TABLE holds (
  of TEXT PRIMARY KEY REFERENCES cases(id) ON DELETE CASCADE,
  host TEXT NOT NULL,
  process INTEGER NOT NULL,
  born TEXT NOT NULL
) WITHOUT ROWID;
"""

# What was shown last, so that another kb can say what it sees differently; cases that nobody wants to be offered; and what
# is still to be done when the store is next opened.
SECOND = """
ALTER TABLE cases ADD COLUMN shown TEXT NOT NULL DEFAULT '';
ALTER TABLE cases ADD COLUMN declined INTEGER NOT NULL DEFAULT 0;
CREATE TABLE chores (name TEXT PRIMARY KEY) WITHOUT ROWID;
"""

# A case is found by its reference and by the case before it without a look at all the others.
THIRD = """
CREATE INDEX cases_reference ON cases(reference);
CREATE INDEX cases_earlier ON cases(earlier);
"""

# Each row carries a checksum of itself (`sum`) and that of the row before it in its case (`before`), a case that of its last row.
# A hold says whose process numbers it counts in, and since when it stands. A note on a case that somebody else holds waits beside
# its rows until it is free; the case counts those that wait.
FOURTH = """
ALTER TABLE rows ADD COLUMN before INTEGER NOT NULL DEFAULT 0;
ALTER TABLE rows ADD COLUMN sum INTEGER;
ALTER TABLE cases ADD COLUMN last INTEGER NOT NULL DEFAULT 0;
ALTER TABLE cases ADD COLUMN waiting INTEGER NOT NULL DEFAULT 0;
ALTER TABLE cases ADD COLUMN sum INTEGER;
ALTER TABLE links ADD COLUMN sum INTEGER;
ALTER TABLE holds ADD COLUMN boot TEXT NOT NULL DEFAULT '';
ALTER TABLE holds ADD COLUMN since INTEGER NOT NULL DEFAULT 0;
ALTER TABLE holds ADD COLUMN sum INTEGER;
CREATE TABLE remarks (
  number INTEGER PRIMARY KEY AUTOINCREMENT,
  of TEXT NOT NULL REFERENCES cases(id) ON DELETE CASCADE,
  body TEXT NOT NULL,
  sum INTEGER NOT NULL
);
"""
# Photos that a caller took: the picture, cleaned, a small one for lists, and when each was kept. They are no rows of the case: who
# holds it counts by place.
FIFTH = """
CREATE TABLE photos (
  number INTEGER PRIMARY KEY AUTOINCREMENT,
  of TEXT NOT NULL REFERENCES cases(id) ON DELETE CASCADE,
  kept INTEGER NOT NULL,
  body BLOB NOT NULL,
  small BLOB NOT NULL,
  sum INTEGER NOT NULL
);
CREATE INDEX photos_of ON photos(of, number);
"""
# When each row was kept [ms since 1970, UTC]; rows of before have none. And what a queue knows of a case (`cli/store/marks.py`): rows
# beside the case that only grow, and that are never part of it.
SIXTH = """
ALTER TABLE rows ADD COLUMN at INTEGER;
CREATE TABLE marks (
  number INTEGER PRIMARY KEY AUTOINCREMENT,
  of TEXT NOT NULL REFERENCES cases(id) ON DELETE CASCADE,
  at INTEGER NOT NULL,
  body TEXT NOT NULL,
  sum INTEGER NOT NULL
);
CREATE INDEX marks_of ON marks(of, number);
"""
# What was given out and counts no more before its time, until when [ms since 1970, UTC]: walks that were stopped, passes that were given back.
# All servers of one store know it. And a case is found by what it was begun from without a look at all others.
SEVENTH = """
CREATE TABLE ended (
  mark TEXT PRIMARY KEY,
  until INTEGER NOT NULL
) WITHOUT ROWID;
CREATE INDEX cases_journal ON cases(journal);
"""
SEALED = 4  # the version from which on there are checksums

# What leads from the version before to this one; the first leads from an empty file.
STEPS: tuple[str, ...] = (FIRST, SECOND, THIRD, FOURTH, FIFTH, SIXTH, SEVENTH)
VERSION = len(STEPS)

# The same on a server, from the version on at which there were servers. Words sort there as in a file; a lease says when its holder was last at work.
FOURTH_ON_A_SERVER = """
CREATE TABLE version (number INTEGER NOT NULL);
CREATE TABLE cases (
  id TEXT COLLATE "C" PRIMARY KEY,
  reference TEXT COLLATE "C" NOT NULL DEFAULT '',
  earlier TEXT COLLATE "C" REFERENCES cases(id) ON DELETE SET NULL,
  kb TEXT NOT NULL DEFAULT '',
  journal TEXT NOT NULL DEFAULT '',
  began BIGINT NOT NULL,
  touched BIGINT NOT NULL,
  shown TEXT NOT NULL DEFAULT '',
  declined INTEGER NOT NULL DEFAULT 0,
  last BIGINT NOT NULL DEFAULT 0,
  waiting INTEGER NOT NULL DEFAULT 0,
  sum BIGINT
);
CREATE INDEX cases_reference ON cases(reference);
CREATE INDEX cases_earlier ON cases(earlier);
CREATE INDEX cases_touched ON cases(touched);
CREATE TABLE rows (
  number BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  of TEXT COLLATE "C" NOT NULL REFERENCES cases(id) ON DELETE CASCADE,
  body TEXT NOT NULL,
  before BIGINT NOT NULL DEFAULT 0,
  sum BIGINT
);
CREATE INDEX rows_of ON rows(of, number);
CREATE TABLE links (
  digest BYTEA PRIMARY KEY,
  of TEXT COLLATE "C" NOT NULL REFERENCES cases(id) ON DELETE CASCADE,
  sum BIGINT
);
CREATE TABLE holds (
  of TEXT COLLATE "C" PRIMARY KEY REFERENCES cases(id) ON DELETE CASCADE,
  host TEXT NOT NULL,
  process BIGINT NOT NULL,
  born TEXT NOT NULL,
  boot TEXT NOT NULL DEFAULT '',
  since BIGINT NOT NULL DEFAULT 0,
  sum BIGINT,
  seen TIMESTAMPTZ NOT NULL
);
CREATE TABLE chores (name TEXT PRIMARY KEY);
CREATE TABLE remarks (
  number BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  of TEXT COLLATE "C" NOT NULL REFERENCES cases(id) ON DELETE CASCADE,
  body TEXT NOT NULL,
  sum BIGINT NOT NULL
);
"""
FIFTH_ON_A_SERVER = """
CREATE TABLE photos (
  number BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  of TEXT COLLATE "C" NOT NULL REFERENCES cases(id) ON DELETE CASCADE,
  kept BIGINT NOT NULL,
  body BYTEA NOT NULL,
  small BYTEA NOT NULL,
  sum BIGINT NOT NULL
);
CREATE INDEX photos_of ON photos(of, number);
"""
SIXTH_ON_A_SERVER = """
ALTER TABLE rows ADD COLUMN at BIGINT;
CREATE TABLE marks (
  number BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  of TEXT COLLATE "C" NOT NULL REFERENCES cases(id) ON DELETE CASCADE,
  at BIGINT NOT NULL,
  body TEXT NOT NULL,
  sum BIGINT NOT NULL
);
CREATE INDEX marks_of ON marks(of, number);
"""
SEVENTH_ON_A_SERVER = """
CREATE TABLE ended (
  mark TEXT COLLATE "C" PRIMARY KEY,
  until BIGINT NOT NULL
);
CREATE INDEX cases_journal ON cases(journal);
"""
SERVER_STEPS: tuple[str, ...] = (
    *("", "", "", FOURTH_ON_A_SERVER),
    *(FIFTH_ON_A_SERVER, SIXTH_ON_A_SERVER, SEVENTH_ON_A_SERVER),
)
