"""Views across the tables: the record of what was said, and counts for who watches over the service."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import msgspec

from ..messages import LogEntry
from .database import Database


class Counts(msgspec.Struct, frozen=True, kw_only=True):
    """How the service is doing. No phone, no name, no secret."""

    lines: int
    queued: int
    sending: int
    failed: int
    unsure: int
    oldest_queued_at: datetime | None
    tasks_overdue: int
    questions_open: int


_LOG = """
SELECT i.received_at, 'in', l.phone, i.text, NULL, NULL, NULL, NULL, NULL, i.read, i.line_id, i.in_no AS no
  FROM inbox AS i JOIN lines AS l USING (line_id) WHERE ? IS NULL OR l.phone = ?
UNION ALL
SELECT o.queued_at, 'out', l.phone, o.text, o.segments, o.encoding, o.why, o.dialogue, o.state, NULL,
  o.line_id, o.out_no FROM outbox AS o JOIN lines AS l USING (line_id) WHERE ? IS NULL OR l.phone = ?
ORDER BY 1, line_id, no
"""


def transcript(db: Database, phone: str | None) -> list[LogEntry]:
    """What was said, by time; on one line, in the order in which it was written down.

    phone : one line only, in E.164; None for all. Messages that were dropped are in it, with that state.
    """
    rows = db.rows(_LOG, phone, phone, phone, phone)
    if phone is not None:
        # A clock that was set back must not turn a talk around: within one line the numbers decide.
        rows.sort(key=lambda row: int(row[-1]))
    return [_entry(row[:-2]) for row in rows]


def _entry(row: tuple[Any, ...]) -> LogEntry:
    named = dict(zip(LogEntry.__struct_fields__, row, strict=True))
    if named["read"] is not None:
        named["read"] = msgspec.json.decode(named["read"])
    return msgspec.convert(named, LogEntry)


def counts(db: Database, now: datetime) -> Counts:
    """Counts from the small indexes of open rows; cheap however long the record grows."""

    def number(sql: str, *values: Any) -> int:
        return int(db.rows(sql, *values)[0][0])

    states = dict(
        db.rows("SELECT state, count(*) FROM outbox WHERE state IN ('queued', 'sending') GROUP BY state")
    )
    states |= dict(
        db.rows("SELECT state, count(*) FROM outbox WHERE state IN ('failed', 'unsure') GROUP BY state")
    )
    (oldest,) = db.rows("SELECT min(queued_at) FROM outbox WHERE state = 'queued'")[0]
    return Counts(
        lines=number("SELECT count(*) FROM lines"),
        **{state: states.get(state, 0) for state in ("queued", "sending", "failed", "unsure")},
        oldest_queued_at=None if oldest is None else datetime.fromisoformat(oldest),
        tasks_overdue=number("SELECT count(*) FROM tasks WHERE state = 'due' AND due_at <= ?", now),
        questions_open=number(
            "SELECT count(*) FROM questions WHERE answered_at IS NULL AND closed_at IS NULL"
        ),
    )
