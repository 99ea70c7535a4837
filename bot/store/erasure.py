"""Erasing a farmer for good. Rows are kept, so that counts stay right; nothing personal is left in them.

Two steps: at once all but the phone and the confirmation; when that has left, these too, and the file is written
anew, because a database leaves what it erases in the free parts of its file.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from .database import Database
from .rows import Task

ERASURE = "erasure"
"""The task of the second step; no dialogue may be called so."""
AGAIN = timedelta(minutes=1)
LONGEST = timedelta(days=1)
"""The confirmation is waited for so long, then it is given up with the rest."""
_OF_FARMER = (
    "UPDATE farmers SET name = NULL, place = NULL, timezone = NULL, group_code = NULL, consent_at = NULL,"
    " facts = '{}' WHERE line_id = ? AND farmer_no = ?",
    "UPDATE piles SET name = NULL, facts = '{}' WHERE line_id = ? AND farmer_no = ?",
    "UPDATE readings SET value = NULL, celsius = NULL WHERE line_id = ? AND farmer_no = ?",
    "UPDATE questions SET text = '', snapshot = '{}', answer = NULL WHERE line_id = ? AND farmer_no = ?",
    "UPDATE thread SET text = '' WHERE (line_id, question_no) IN"
    " (SELECT line_id, question_no FROM questions WHERE line_id = ? AND farmer_no = ?)",
    "DELETE FROM conversations WHERE line_id = ? AND farmer_no = ?",
    "DELETE FROM tasks WHERE line_id = ? AND farmer_no = ?",
)
_INBOX = (
    "UPDATE inbox SET text = '', read = NULL, fingerprint = '', gateway_id = NULL, sent_at = NULL"
    " WHERE line_id = ? AND in_no <= ? AND (? OR farmer_no = ?)"
)
_OUTBOX = (
    "UPDATE outbox SET text = '', trace = '{}', gateway_ref = NULL, error = NULL,"
    " state = CASE state WHEN 'queued' THEN 'dropped' ELSE state END"
    " WHERE line_id = ? AND out_no <= ? AND (? OR farmer_no = ? OR dialogue = 'other')"
)


class Erasure:
    def __init__(self, db: Database) -> None:
        self._db = db

    def begin(self, line_id: int, farmer_no: int, now: datetime) -> bool:
        """Erase the farmer but for the phone. True when nobody else uses the line, which then is stopped.

        What is queued after this (the confirmation) still leaves, if it may go to a stopped line.
        """
        with self._db.transaction():
            alone = self._alone(line_id, farmer_no)
            for statement in _OF_FARMER:
                self._db.change(statement, line_id, farmer_no)
            (last,) = self._db.rows("SELECT last_no FROM lines WHERE line_id = ?", line_id)[0]
            self._blank(line_id, farmer_no, last, alone)
            self._db.change(
                "UPDATE lines SET farmer_no = (SELECT min(farmer_no) FROM farmers WHERE line_id = ? AND"
                " farmer_no <> ? AND name IS NOT NULL), state = CASE WHEN ? THEN 'stopped' ELSE state END,"
                " state_at = CASE WHEN ? THEN ? ELSE state_at END WHERE line_id = ?",
                *(line_id, farmer_no, alone, alone, now, line_id),
            )
            return alone

    def _alone(self, line_id: int, farmer_no: int) -> bool:
        others = "SELECT 1 FROM farmers WHERE line_id = ? AND farmer_no <> ? AND name IS NOT NULL LIMIT 1"
        return self._db.row(others, line_id, farmer_no) is None

    def _blank(self, line_id: int, farmer_no: int, last: int, alone: bool) -> None:
        self._db.change(_INBOX, line_id, last, alone, farmer_no)
        self._db.change(_OUTBOX, line_id, last, alone, farmer_no)
        self._db.change("DELETE FROM not_understood WHERE line_id = ?", line_id)
        if alone:
            self._db.change("DELETE FROM rain WHERE place = ?", f"line {line_id}")

    def finish(self, task: Task, now: datetime) -> bool:
        """Erase what was left for the confirmation's sake. False: it has not left yet, and is tried again."""
        with self._db.transaction():
            waits = self._db.row(
                "SELECT 1 FROM outbox WHERE line_id = ? AND farmer_no = ? AND state IN ('queued', 'sending')",
                *(task.line_id, task.farmer_no),
            )
            if waits is not None and now - task.created_at < LONGEST:
                self.later(task, now)
                return False
            alone, last = bool(task.data["alone"]), int(task.data["last_no"])
            self._blank(task.line_id, task.farmer_no, last, alone)
            if alone and not self._came_back(task.line_id, last):
                self._db.change(
                    "UPDATE lines SET phone = 'erased-' || line_id WHERE line_id = ?", task.line_id
                )
            return True

    def later(self, task: Task, now: datetime) -> None:
        """Try the second step again."""
        self._db.change(
            "UPDATE tasks SET due_at = ? WHERE line_id = ? AND task_no = ?",
            now + AGAIN,
            task.line_id,
            task.task_no,
        )

    def _came_back(self, line_id: int, last: int) -> bool:
        """Whether somebody has written START or JOIN from the phone since."""
        newer = "SELECT 1 FROM inbox AS i JOIN lines AS l USING (line_id) WHERE line_id = ? AND in_no > ? AND state = 'open'"
        return self._db.row(newer, line_id, last) is not None

    def wipe(self) -> None:
        """Write the database file anew. Outside any transaction. Raises StoreBusy."""
        self._db.rewrite()
