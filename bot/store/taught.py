"""Words that trainers teach the reader, until the next release has them in its word lists."""

from __future__ import annotations

from datetime import datetime

from .database import Database
from .rows import Taught

FORGOTTEN = ""
"""The section of a row that takes a phrase back."""


class TaughtWords:
    """Rows are only added, so that the newest number tells whether anything has changed."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def version(self) -> int:
        """Grows with every word taught or taken back; cheap enough to be asked before each message."""
        row = self._db.row("SELECT max(no) FROM taught")
        return int(row[0] or 0) if row else 0

    def add(self, language: str, phrase: str, section: str, identity: str, at: datetime) -> None:
        """Teach a phrase; what was taught of it before no longer holds."""
        self._db.change(
            "INSERT INTO taught (language, phrase, section, id, at) VALUES (?, ?, ?, ?, ?)",
            *(language, phrase, section, identity, at),
        )

    def forget(self, language: str, phrase: str, at: datetime) -> bool:
        """Take a phrase back; False if it has not been taught."""
        if not any((each.language, each.phrase) == (language, phrase) for each in self.all()):
            return False
        self.add(language, phrase, FORGOTTEN, "", at)
        return True

    def all(self) -> list[Taught]:
        """What holds now, in the order in which it was taught."""
        return self._db.structs(
            Taught,
            "FROM taught WHERE section != ? AND no IN (SELECT max(no) FROM taught GROUP BY language, phrase)"
            " ORDER BY no",
            FORGOTTEN,
        )
