"""The embedded database: one inbound message is one transaction, and every reply waits in the outbox.

store = Store.open(path)
with store.transaction():
    receipt = store.inbox.record(inbound, now, repeat_window)
    ...
    store.outbox.queue(receipt.line_id, text, now, segments=1, encoding="GSM-7", why="reply")
"""

from __future__ import annotations

from contextlib import AbstractContextManager
from datetime import datetime
from pathlib import Path

from ..messages import LogEntry
from .database import MEMORY, Database
from .erasure import ERASURE, Erasure
from .errors import StoreBusy, StoreDamaged, StoreError, StoreFull
from .inbox import Inbox
from .lines import Conversations, Farmers, Lines, Piles
from .moving import CannotMove, Moving
from .outbox import Outbox
from .overview import Counts, counts, transcript
from .questions import Questions
from .records import Rain, Readings, Unread
from .rows import (
    Conversation,
    Farmer,
    Line,
    LineState,
    NotUnderstood,
    OutboxRow,
    OutState,
    Pile,
    Question,
    QuestionKind,
    Reading,
    Task,
    Taught,
    ThreadEntry,
)
from .tasks import Tasks
from .taught import TaughtWords

__all__ = [
    "ERASURE",
    "MEMORY",
    "CannotMove",
    "Conversation",
    "Counts",
    "Farmer",
    "Line",
    "LineState",
    "NotUnderstood",
    "OutState",
    "OutboxRow",
    "Pile",
    "Question",
    "QuestionKind",
    "Reading",
    "Store",
    "StoreBusy",
    "StoreDamaged",
    "StoreError",
    "StoreFull",
    "Task",
    "Taught",
    "ThreadEntry",
]


class Store:
    """Everything the bot remembers. May be used by many threads; see `Store.open`."""

    def __init__(self, db: Database) -> None:
        self._db = db
        self.path = db.path
        self.lines = Lines(db)
        self.farmers = Farmers(db)
        self.piles = Piles(db)
        self.conversations = Conversations(db)
        self.inbox = Inbox(db, self.lines)
        self.outbox = Outbox(db)
        self.tasks = Tasks(db)
        self.questions = Questions(db)
        self.readings = Readings(db)
        self.unread = Unread(db)
        self.rain = Rain(db)
        self.taught = TaughtWords(db)
        self.erasure = Erasure(db)
        self.moving = Moving(db, self.lines)

    @classmethod
    def open(cls, path: str | Path, *, busy_timeout_s: float = 5.0) -> Store:
        """Open a database file, made and brought up to date if need be; `:memory:` keeps nothing.

        busy_timeout_s : how long a transaction waits for another writer before StoreBusy. [s]
        Raises StoreFull (cannot be made or written), StoreBusy, StoreDamaged.
        """
        return cls(Database(str(path), busy_timeout_s))

    def close(self) -> None:
        self._db.close()

    def __enter__(self) -> Store:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def transaction(self) -> AbstractContextManager[None]:
        """All that this thread writes inside is kept together or not at all.

        Raises StoreBusy or StoreFull, with nothing half done; a nested one joins the outer.
        """
        return self._db.transaction()

    def attempt(self) -> AbstractContextManager[None]:
        """Inside a transaction: what is written here is undone when an error leaves it, and nothing else is."""
        return self._db.attempt()

    def transcript(self, phone: str | None = None) -> list[LogEntry]:
        """What was said, in order; dropped messages are in it with that state."""
        return transcript(self._db, phone)

    def counts(self, now: datetime) -> Counts:
        """How many messages wait, failed or are unsure; for the health page."""
        return counts(self._db, now)
