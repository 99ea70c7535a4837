"""Connections to one SQLite file, and transactions on them."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from functools import cache
from typing import Any

import msgspec
from sqlite_utils import Database as Tables

from .errors import StoreBusy, StoreError, translated
from .migrations import migrate
from .rows import R, columns, from_row, from_rows, to_columns

MEMORY = ":memory:"


class _Part:
    """A transaction inside another of the same thread: an error that leaves it spoils the whole."""

    def __init__(self, mine: threading.local) -> None:
        self._mine = mine

    def __enter__(self) -> None:
        pass

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        if kind is not None:
            self._mine.spoilt = True


class Database:
    """A pool of connections. A thread keeps one while its transaction is open, so threads never share one.

    path : file, made if missing, or `:memory:` (one connection, which threads then take in turn).
    busy_timeout_s : how long to wait for another writer before StoreBusy. [s]
    """

    def __init__(self, path: str, busy_timeout_s: float) -> None:
        self.path, self._busy_timeout_s = path, busy_timeout_s
        self._idle: list[Tables] = []
        self._lock = threading.Lock()
        self._memory_turn = threading.Lock()
        self._mine = threading.local()
        self._closed = False
        with self._connection() as tables:
            migrate(tables)

    def _connect(self) -> Tables:
        conn = sqlite3.connect(
            self.path, timeout=self._busy_timeout_s, isolation_level=None, check_same_thread=False
        )
        try:
            tables = Tables(conn, recursive_triggers=False, execute_plugins=False, strict=True)
            tables.enable_wal()
            # FULL: what was answered with 200 must survive a power cut, not only a crash of this process.
            conn.execute("PRAGMA synchronous = FULL")
            conn.execute("PRAGMA foreign_keys = ON")
        except BaseException:
            conn.close()
            raise
        return tables

    @contextmanager
    def _connection(self) -> Iterator[Tables]:
        """A connection for this thread alone, given back to the pool at the end."""
        if self.path == MEMORY:
            self._memory_turn.acquire()
        tables = None
        try:
            with translated(self.path):
                tables = self._take()
                yield tables
        finally:
            if tables is not None:
                self._give_back(tables)
            if self.path == MEMORY:
                self._memory_turn.release()

    def _take(self) -> Tables:
        with self._lock:
            if self._closed:
                raise StoreError(f"{self.path}: the store has been closed")
            if self._idle:
                return self._idle.pop()
        return self._connect()

    def _give_back(self, tables: Tables) -> None:
        with self._lock:
            if not self._closed:
                self._idle.append(tables)
                return
        tables.close()

    def close(self) -> None:
        """Close every connection; one that is in use closes when its work ends."""
        with self._lock:
            self._closed = True
            idle, self._idle = self._idle, []
        for tables in idle:
            tables.close()

    @property
    def _own(self) -> Tables | None:
        return getattr(self._mine, "tables", None)

    def transaction(self) -> AbstractContextManager[None]:
        """All that this thread does inside is kept together or not at all.

        Takes the write lock at once (BEGIN IMMEDIATE). One inside another joins it: an error that leaves the
        inner one ends the whole, even when it is caught before the outer end.
        """
        return self._whole() if self._own is None else _Part(self._mine)

    @contextmanager
    def _whole(self) -> Iterator[None]:
        with self._connection() as tables:
            tables.conn.execute("BEGIN IMMEDIATE")
            self._mine.tables, self._mine.spoilt = tables, False
            try:
                yield
                if self._mine.spoilt:
                    raise StoreError(f"{self.path}: a part of the transaction failed, so nothing was kept")
                tables.conn.execute("COMMIT")
            except BaseException:
                # After some errors (disk full among them) SQLite has already rolled back by itself.
                if tables.conn.in_transaction:
                    tables.conn.execute("ROLLBACK")
                raise
            finally:
                self._mine.tables = None

    @contextmanager
    def attempt(self) -> Iterator[None]:
        """A part of this thread's transaction that is undone by itself when an error leaves it."""
        own = self._own
        if own is None:
            raise StoreError(f"{self.path}: an attempt needs a transaction around it")
        own.conn.execute("SAVEPOINT attempt")
        try:
            yield
        except BaseException:
            own.conn.execute("ROLLBACK TO attempt")
            raise
        finally:
            own.conn.execute("RELEASE attempt")

    def rewrite(self) -> None:
        """Write the whole file anew, so that nothing of what was erased is left in it or beside it.

        Takes as long as the file is big, and no transaction may be open. Raises StoreBusy when readers or
        writers are in the way.
        """
        with self._connection() as tables:
            tables.conn.execute("VACUUM")
            (busy, *_), *_ = tables.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
            if busy:
                raise StoreBusy(f"{self.path}: it was in use while what was erased should be wiped")

    def rows(self, sql: str, *values: Any) -> list[tuple[Any, ...]]:
        """All rows of one statement; a statement that writes outside a transaction is one by itself."""
        bound = to_columns(values)
        if (own := self._own) is not None:
            return own.conn.execute(sql, bound).fetchall()
        with self._connection() as tables:
            return tables.conn.execute(sql, bound).fetchall()

    def change(self, sql: str, *values: Any) -> int:
        """Run one statement that writes; returns how many rows it touched."""
        bound = to_columns(values)
        if (own := self._own) is not None:
            return own.conn.execute(sql, bound).rowcount
        with self._connection() as tables:
            return tables.conn.execute(sql, bound).rowcount

    def row(self, sql: str, *values: Any) -> tuple[Any, ...] | None:
        found = self.rows(sql, *values)
        return found[0] if found else None

    def structs(self, schema: type[R], source: str, *values: Any) -> list[R]:
        """Rows as structs. `source` is what follows SELECT's columns: `FROM piles WHERE ...`."""
        return from_rows(schema, self.rows(_select(schema, source), *values))

    def struct(self, schema: type[R], source: str, *values: Any) -> R | None:
        row = self.row(_select(schema, source), *values)
        return None if row is None else from_row(schema, row)

    def next_no(self, table: str, column: str, **key: Any) -> int:
        """The number after the highest that rows with this key have. To be called in the transaction that uses it."""
        # Cheap: the table's own key starts with `key` and the number, so max() is one step in it.
        (last,) = self.rows(_highest(table, column, tuple(key)), *key.values())[0]
        return (last or 0) + 1

    def insert(self, table: str, values: dict[str, Any]) -> None:
        self.change(_insert(table, tuple(values)), *values.values())


@cache
def _select(schema: type[msgspec.Struct], source: str) -> str:
    return f"SELECT {', '.join(columns(schema))} {source}"


@cache
def _highest(table: str, column: str, key: tuple[str, ...]) -> str:
    return f"SELECT max({column}) FROM {table} WHERE {' AND '.join(f'{name} = ?' for name in key)}"  # noqa: S608 - our own names


@cache
def _insert(table: str, names: tuple[str, ...]) -> str:
    return f"INSERT INTO {table} ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})"  # noqa: S608 - our own names
