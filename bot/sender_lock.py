"""Keeps a second process from sending out of the same database, which would send messages twice."""

from __future__ import annotations

from pathlib import Path
from typing import IO

from .store import MEMORY

try:
    import fcntl
except ImportError:  # pragma: no cover - a system without POSIX locks: nothing keeps a second sender out
    fcntl = None  # type: ignore[assignment]


class SenderRunning(Exception):
    """Another process sends out of this database."""


class SenderLock:
    """Held from `acquire` to `release` or to the end of the process, however it ends."""

    def __init__(self, database: str) -> None:
        self._path = None if database == MEMORY else Path(f"{database}.sender")
        self._file: IO[bytes] | None = None

    def acquire(self) -> None:
        """Raises SenderRunning when another process holds it."""
        if self._path is None or fcntl is None:
            return
        handle = self._path.open("ab")
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            handle.close()
            raise SenderRunning(f"another Warmheap already sends out of {self._path.stem}") from None
        self._file = handle

    def release(self) -> None:
        if self._file is not None:
            self._file.close()
            self._file = None
