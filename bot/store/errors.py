"""What can go wrong with the database, as the rest of the bot sees it.

StoreError
  StoreBusy     another writer held the database too long: try again soon
  StoreFull     nothing can be written: the disk is full, failing or read-only
  StoreDamaged  the file is not a database of ours, or is broken, or a newer Warmheap wrote it
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager


class StoreError(Exception):
    """The database did not do what it was asked; the transaction left nothing behind."""


class StoreBusy(StoreError):
    """Another connection held the write lock for longer than the busy timeout."""


class StoreFull(StoreError):
    """The database cannot be written or opened: disk full, I/O error, read-only, no such folder."""


class StoreDamaged(StoreError):
    """The file is no usable database of this version."""


_KINDS: dict[int, type[StoreError]] = {
    sqlite3.SQLITE_BUSY: StoreBusy,
    sqlite3.SQLITE_LOCKED: StoreBusy,
    sqlite3.SQLITE_FULL: StoreFull,
    sqlite3.SQLITE_IOERR: StoreFull,
    sqlite3.SQLITE_READONLY: StoreFull,
    sqlite3.SQLITE_CANTOPEN: StoreFull,
    sqlite3.SQLITE_CORRUPT: StoreDamaged,
    sqlite3.SQLITE_NOTADB: StoreDamaged,
}


@contextmanager
def translated(path: str) -> Iterator[None]:
    """Turn the database library's errors into ours. Mistakes of the program (bad SQL, broken rules) pass."""
    try:
        yield
    except sqlite3.Error as exc:
        # The low byte of an extended code is the primary one (SQLite, "Result and Error Codes").
        kind = _KINDS.get(getattr(exc, "sqlite_errorcode", 0) & 0xFF)
        if kind is None:
            raise
        raise kind(f"{path}: {exc}") from exc
