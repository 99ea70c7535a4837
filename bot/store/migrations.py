"""The tables, as named steps. Each is applied once, in one transaction with the record that it was.

Add a step at the end for every change; never edit one that has been released.

Every table of a farmer's data starts its key with line_id (a line is one phone number), and WITHOUT ROWID
keeps the rows of one line side by side: a line can later move to a shard of its own with one range scan.
`rain` is about places, not farmers, and would be copied to each shard.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Sequence

from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

from .errors import StoreDamaged

_PEOPLE = """
CREATE TABLE lines (
  line_id INTEGER PRIMARY KEY AUTOINCREMENT,
  phone TEXT NOT NULL UNIQUE,
  gateway TEXT NOT NULL,
  state TEXT NOT NULL DEFAULT 'open' CHECK (state IN ('open', 'stopped')),
  state_at TEXT,
  farmer_no INTEGER,
  last_no INTEGER NOT NULL DEFAULT 0,
  created_at TEXT NOT NULL
) STRICT;
CREATE TABLE farmers (
  line_id INTEGER NOT NULL REFERENCES lines ON DELETE CASCADE,
  farmer_no INTEGER NOT NULL,
  name TEXT, language TEXT, place TEXT, timezone TEXT, group_code TEXT, consent_at TEXT,
  facts TEXT NOT NULL,
  created_at TEXT NOT NULL,
  PRIMARY KEY (line_id, farmer_no)
) STRICT, WITHOUT ROWID;
CREATE TABLE piles (
  line_id INTEGER NOT NULL,
  farmer_no INTEGER NOT NULL,
  letter TEXT NOT NULL,
  name TEXT,
  stage TEXT NOT NULL,
  facts TEXT NOT NULL,
  created_at TEXT NOT NULL,
  closed_at TEXT,
  PRIMARY KEY (line_id, farmer_no, letter),
  FOREIGN KEY (line_id, farmer_no) REFERENCES farmers ON DELETE CASCADE
) STRICT, WITHOUT ROWID;
CREATE TABLE conversations (
  line_id INTEGER NOT NULL,
  farmer_no INTEGER NOT NULL,
  state TEXT NOT NULL,
  updated_at TEXT NOT NULL,
  PRIMARY KEY (line_id, farmer_no),
  FOREIGN KEY (line_id, farmer_no) REFERENCES farmers ON DELETE CASCADE
) STRICT, WITHOUT ROWID;
"""

_MESSAGES = """
CREATE TABLE inbox (
  line_id INTEGER NOT NULL REFERENCES lines ON DELETE CASCADE,
  in_no INTEGER NOT NULL,
  gateway TEXT NOT NULL,
  gateway_id TEXT,
  fingerprint TEXT NOT NULL,
  text TEXT NOT NULL,
  sent_at TEXT,
  received_at TEXT NOT NULL,
  read TEXT,
  farmer_no INTEGER,
  PRIMARY KEY (line_id, in_no)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX inbox_gateway_id ON inbox (line_id, gateway, gateway_id) WHERE gateway_id IS NOT NULL;
CREATE INDEX inbox_fingerprint ON inbox (line_id, fingerprint) WHERE gateway_id IS NULL;
CREATE TABLE outbox (
  line_id INTEGER NOT NULL REFERENCES lines ON DELETE CASCADE,
  out_no INTEGER NOT NULL,
  reference TEXT NOT NULL,
  gateway TEXT NOT NULL,
  reply_to INTEGER,
  farmer_no INTEGER,
  text TEXT NOT NULL,
  segments INTEGER NOT NULL,
  encoding TEXT NOT NULL,
  why TEXT NOT NULL CHECK (why IN ('reply', 'reminder', 'notice')),
  dialogue TEXT, step TEXT,
  trace TEXT NOT NULL,
  even_if_stopped INTEGER NOT NULL,
  state TEXT NOT NULL
    CHECK (state IN ('queued', 'sending', 'sent', 'delivered', 'failed', 'unsure', 'dropped')),
  queued_at TEXT NOT NULL,
  send_before TEXT,
  next_try_at TEXT NOT NULL,
  attempts INTEGER NOT NULL DEFAULT 0,
  claimed_at TEXT, sent_at TEXT, closed_at TEXT,
  gateway_ref TEXT,
  error TEXT,
  PRIMARY KEY (line_id, out_no)
) STRICT, WITHOUT ROWID;
CREATE INDEX outbox_waiting ON outbox (gateway, next_try_at) WHERE state = 'queued';
CREATE INDEX outbox_open ON outbox (line_id, out_no, state) WHERE state IN ('queued', 'sending');
CREATE INDEX outbox_trouble ON outbox (state) WHERE state IN ('failed', 'unsure');
CREATE INDEX outbox_gateway_ref ON outbox (gateway, gateway_ref) WHERE gateway_ref IS NOT NULL;
-- Only the oldest open message of a line may go next: a later one never overtakes it.
CREATE VIEW outbox_heads AS
  SELECT o.*, l.phone FROM outbox AS o JOIN lines AS l USING (line_id)
  WHERE o.state = 'queued' AND NOT EXISTS (
    SELECT 1 FROM outbox AS e
    WHERE e.line_id = o.line_id AND e.out_no < o.out_no AND e.state IN ('queued', 'sending')
  );
"""

_RECORDS = """
CREATE TABLE readings (
  line_id INTEGER NOT NULL,
  farmer_no INTEGER NOT NULL,
  letter TEXT NOT NULL,
  reading_no INTEGER NOT NULL,
  at TEXT NOT NULL,
  kind TEXT NOT NULL,
  value TEXT,
  celsius REAL,
  in_no INTEGER,
  PRIMARY KEY (line_id, farmer_no, letter, reading_no),
  FOREIGN KEY (line_id, farmer_no, letter) REFERENCES piles ON DELETE CASCADE
) STRICT, WITHOUT ROWID;
CREATE TABLE tasks (
  line_id INTEGER NOT NULL,
  task_no INTEGER NOT NULL,
  farmer_no INTEGER NOT NULL,
  letter TEXT,
  dialogue TEXT NOT NULL,
  due_at TEXT NOT NULL,
  state TEXT NOT NULL DEFAULT 'due' CHECK (state IN ('due', 'done', 'dropped')),
  data TEXT NOT NULL,
  created_at TEXT NOT NULL,
  PRIMARY KEY (line_id, task_no),
  FOREIGN KEY (line_id, farmer_no) REFERENCES farmers ON DELETE CASCADE
) STRICT, WITHOUT ROWID;
CREATE INDEX tasks_due ON tasks (due_at) WHERE state = 'due';
CREATE INDEX tasks_of_farmer ON tasks (line_id, farmer_no) WHERE state = 'due';
CREATE TABLE questions (
  line_id INTEGER NOT NULL,
  question_no INTEGER NOT NULL,
  farmer_no INTEGER NOT NULL,
  letter TEXT,
  at TEXT NOT NULL,
  text TEXT NOT NULL,
  snapshot TEXT NOT NULL,
  answered_at TEXT,
  answer TEXT,
  PRIMARY KEY (line_id, question_no),
  FOREIGN KEY (line_id, farmer_no) REFERENCES farmers ON DELETE CASCADE
) STRICT, WITHOUT ROWID;
CREATE INDEX questions_open ON questions (at) WHERE answered_at IS NULL;
CREATE TABLE not_understood (
  line_id INTEGER NOT NULL REFERENCES lines ON DELETE CASCADE,
  no INTEGER NOT NULL,
  at TEXT NOT NULL,
  language TEXT,
  expect TEXT,
  text TEXT NOT NULL,
  PRIMARY KEY (line_id, no)
) STRICT, WITHOUT ROWID;
CREATE TABLE rain (
  place TEXT NOT NULL,
  day TEXT NOT NULL,
  source TEXT NOT NULL,
  mm REAL NOT NULL CHECK (mm >= 0),
  PRIMARY KEY (place, day, source)
) STRICT, WITHOUT ROWID;
"""

_THREADS = """
ALTER TABLE questions ADD COLUMN kind TEXT NOT NULL DEFAULT 'question'
  CHECK (kind IN ('danger', 'question', 'alert', 'number', 'away'));
ALTER TABLE questions ADD COLUMN closed_at TEXT;
DROP INDEX questions_open;
CREATE INDEX questions_open ON questions (at) WHERE answered_at IS NULL AND closed_at IS NULL;
CREATE TABLE thread (
  line_id INTEGER NOT NULL,
  question_no INTEGER NOT NULL,
  entry_no INTEGER NOT NULL,
  at TEXT NOT NULL,
  who TEXT NOT NULL CHECK (who IN ('farmer', 'trainer')),
  text TEXT NOT NULL,
  PRIMARY KEY (line_id, question_no, entry_no),
  FOREIGN KEY (line_id, question_no) REFERENCES questions ON DELETE CASCADE
) STRICT, WITHOUT ROWID;
"""

_TAUGHT = """
CREATE TABLE taught (
  no INTEGER PRIMARY KEY AUTOINCREMENT,
  language TEXT NOT NULL,
  phrase TEXT NOT NULL,
  section TEXT NOT NULL,
  id TEXT NOT NULL,
  at TEXT NOT NULL
) STRICT;
"""


def create_identity(db: Database) -> None:
    """A random mark of this database, so that a message's reference is never used by another one."""
    db.table("identity").create({"mark": str}, not_null=["mark"], strict=True).insert(
        {"mark": secrets.token_hex(4)}
    )


def create_people(db: Database) -> None:
    db.executescript(_PEOPLE)


def create_messages(db: Database) -> None:
    db.executescript(_MESSAGES)


def create_records(db: Database) -> None:
    db.executescript(_RECORDS)


def add_threads(db: Database) -> None:
    """Questions of several kinds, closed or reopened, with what was written to and fro."""
    db.executescript(_THREADS)


def add_taught(db: Database) -> None:
    """Words taught to the reader. They are about a language, not about farmers, like `rain`."""
    db.executescript(_TAUGHT)


STEPS = (create_identity, create_people, create_messages, create_records, add_threads, add_taught)


def migrate(db: Database, steps: Sequence[Callable[[Database], None]] = STEPS) -> None:
    """Bring the tables up to date.

    Raises StoreDamaged when steps have been applied that this version does not know.
    """
    migrations = Migrations("warmheap")
    for step in steps:
        migrations()(step)
    known = {step.__name__ for step in steps}
    if unknown := [step.name for step in migrations.applied(db) if step.name not in known]:
        raise StoreDamaged(f"a newer Warmheap has changed this database: {', '.join(unknown)}")
    if not migrations.pending(db):
        return
    # The write lock first: of two processes that start together, the second then finds nothing pending.
    db.execute("BEGIN IMMEDIATE")
    try:
        migrations.apply(db)
        db.commit()
    except BaseException:
        db.rollback()
        raise
