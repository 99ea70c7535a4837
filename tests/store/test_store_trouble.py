"""A locked, full, read-only or foreign database; transactions that fail half way; migrations."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from sqlite_utils import Database as Tables

from bot.messages import Inbound
from bot.store import Store, StoreBusy, StoreDamaged, StoreError, StoreFull
from bot.store.migrations import STEPS, migrate

WINDOW = timedelta(minutes=2)
ROOT = Path(__file__).parents[2]


def take(store: Store, now: datetime, text: str = "JOIN") -> None:
    """What the service does with a message, in small."""
    with store.transaction():
        receipt = store.inbox.record(
            Inbound(gateway="harbour", phone="+447700900001", text=text, gateway_id=text[:9]), now, WINDOW
        )
        store.outbox.queue(receipt.line_id, "Hello", now, segments=1, encoding="GSM-7", why="reply")


@contextmanager
def setting(store: Store, pragma: str, value: object) -> Iterator[None]:
    """Change a setting on the one connection in the store's pool."""
    with store._db._connection() as tables:
        before = tables.conn.execute(f"PRAGMA {pragma}").fetchone()[0]
        tables.conn.execute(f"PRAGMA {pragma} = {value}")
    yield
    with store._db._connection() as tables:
        tables.conn.execute(f"PRAGMA {pragma} = {before}")


def test_a_locked_database_is_busy_and_takes_the_message_later(path: Path, now: datetime) -> None:
    with Store.open(path, busy_timeout_s=0.05) as store:
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreBusy, match=r"farm\.db: database is locked"):
            take(store, now)
        other.execute("ROLLBACK")
        other.close()
        assert store.transcript() == []
        take(store, now)
        assert len(store.transcript()) == 2


def test_a_reader_is_not_held_up_by_a_writer(path: Path, now: datetime) -> None:
    with Store.open(path, busy_timeout_s=0.05) as store:
        take(store, now)
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        assert len(store.transcript()) == 2
        other.close()


def test_a_full_database_keeps_nothing_half_done(store: Store, now: datetime) -> None:
    take(store, now, "first")
    with setting(store, "max_page_count", 1):  # SQLite raises it to the pages in use
        with pytest.raises(StoreFull, match="full"):
            for i in range(200):
                take(store, now, f"{i:09d}" + "x" * 2000)
        kept = store.transcript()
        assert [entry.direction for entry in kept] == ["in", "out"] * (len(kept) // 2)
    before = len(store.transcript())
    take(store, now, "last")
    assert len(store.transcript()) == before + 2


def test_a_read_only_database_is_told_as_one_that_cannot_be_written(store: Store, now: datetime) -> None:
    with setting(store, "query_only", 1), pytest.raises(StoreFull, match="readonly"):
        take(store, now)
    take(store, now)


def test_a_folder_that_is_missing_names_the_path(tmp_path: Path) -> None:
    with pytest.raises(StoreFull, match=r"nowhere/farm\.db: unable to open"):
        Store.open(tmp_path / "nowhere" / "farm.db")


def test_a_file_that_is_no_database_is_refused_and_left_alone(path: Path) -> None:
    path.write_text("my shopping list: " + "maize " * 300)
    before = path.read_bytes()
    with pytest.raises(StoreDamaged, match="not a database"):
        Store.open(path)
    assert path.read_bytes() == before


def test_an_error_anywhere_rolls_the_whole_transaction_back(store: Store, now: datetime) -> None:
    with pytest.raises(RuntimeError, match="engine fault"), store.transaction():
        take(store, now)
        raise RuntimeError("engine fault")
    assert store.lines.all() == []


def test_a_failed_part_spoils_the_whole_even_when_its_error_is_caught(store: Store, now: datetime) -> None:
    with pytest.raises(StoreError, match="a part of the transaction failed"), store.transaction():
        take(store, now)
        with suppress(KeyError):
            store.outbox.queue(99, "x", now, segments=1, encoding="GSM-7", why="reply")
    assert store.transcript() == []
    take(store, now)
    assert len(store.transcript()) == 2


def test_a_closed_store_says_so(path: Path, now: datetime) -> None:
    store = Store.open(path)
    store.close()
    with pytest.raises(StoreError, match="has been closed"):
        take(store, now)


@pytest.mark.parametrize("place", ["file", ":memory:"])
def test_threads_never_share_a_transaction(path: Path, now: datetime, place: str) -> None:
    with Store.open(path if place == "file" else place, busy_timeout_s=30) as store:
        failed: list[Exception] = []

        def work(worker: int) -> None:
            for i in range(15):
                try:
                    take(store, now, f"{worker:03d}-{i:03d}")
                except StoreError as exc:
                    failed.append(exc)

        threads = [threading.Thread(target=work, args=(worker,)) for worker in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert failed == []
        talk = store.transcript("+447700900001")
        # Each reply follows its own message: no transaction of another thread came between.
        assert [entry.direction for entry in talk] == ["in", "out"] * 120


def test_what_was_acknowledged_outlives_a_power_cut(store: Store) -> None:
    # SQLite, "PRAGMA synchronous": in WAL mode only FULL (2) or more makes a commit durable at once.
    with store._db._connection() as tables:
        assert tables.conn.execute("PRAGMA synchronous").fetchone() == (2,)
        assert tables.conn.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert tables.conn.execute("PRAGMA foreign_keys").fetchone() == (1,)


CHILD = """
import os, sys
from datetime import datetime, timedelta
sys.path.insert(0, {root!r})
from bot.messages import Inbound
from bot.store import Store
now = datetime.fromisoformat("2026-03-02T05:30:00+00:00")
store = Store.open({path!r})
with store.transaction():
    message = Inbound(gateway="harbour", phone="+447700900001", text="JOIN", gateway_id="JOIN")
    receipt = store.inbox.record(message, now, timedelta(minutes=2))
    if {point!r} == "recorded":
        os._exit(9)
    store.outbox.queue(receipt.line_id, "Hello", now, segments=1, encoding="GSM-7", why="reply")
    if {point!r} == "queued":
        os._exit(9)
os._exit(9)
"""


@pytest.mark.parametrize(("point", "kept"), [("recorded", 0), ("queued", 0), ("committed", 2)])
def test_a_process_that_dies_leaves_all_or_nothing(path: Path, now: datetime, point: str, kept: int) -> None:
    child = CHILD.format(root=str(ROOT), path=str(path), point=point)
    assert subprocess.run([sys.executable, "-c", child], check=False, timeout=60).returncode == 9
    with Store.open(path) as store:
        assert len(store.transcript()) == kept
        take(store, now)  # the gateway had no answer, so it delivers again
        told = [(entry.direction, entry.text) for entry in store.transcript()]
        assert told[:2] == [("in", "JOIN"), ("out", "Hello")]
        receipts = [store.inbox.record(_join(), now, WINDOW).repeated for _ in range(2)]
        assert receipts == [True, True]


def _join() -> Inbound:
    return Inbound(gateway="harbour", phone="+447700900001", text="JOIN", gateway_id="JOIN")


def test_migrations_are_applied_once(path: Path, now: datetime) -> None:
    with Store.open(path) as store:
        take(store, now)
    with Store.open(path) as store, store._db._connection() as tables:
        assert [row["name"] for row in tables.table("_sqlite_migrations").rows] == [
            step.__name__ for step in STEPS
        ]
        assert store.outbox.by_reference("x") is None


def test_stores_opened_at_the_same_moment_do_not_build_the_tables_twice(path: Path) -> None:
    stores: list[Store] = []
    errors: list[Exception] = []
    gate = threading.Barrier(6)

    def work() -> None:
        gate.wait()
        try:
            stores.append(Store.open(path, busy_timeout_s=30))
        except Exception as exc:
            errors.append(exc)

    threads = [threading.Thread(target=work) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for store in stores:
        store.close()
    assert (errors, len(stores)) == ([], 6)


def test_a_migration_that_fails_leaves_nothing_behind(path: Path) -> None:
    def half_done(db: Tables) -> None:
        db.executescript("CREATE TABLE half (a TEXT); INSERT INTO half VALUES ('x');")
        raise RuntimeError("out of ideas")

    with Tables(path) as tables:
        with pytest.raises(RuntimeError, match="out of ideas"):
            migrate(tables, (*STEPS, half_done))
        assert tables.table_names() == []
        migrate(tables)
        assert "outbox" in tables.table_names()


def test_a_database_of_a_newer_version_is_refused(path: Path) -> None:
    def from_the_future(db: Tables) -> None:
        db.executescript("CREATE TABLE rockets (a TEXT);")

    with Tables(path) as tables:
        migrate(tables, (*STEPS, from_the_future))
    with pytest.raises(StoreDamaged, match="newer Warmheap has changed this database: from_the_future"):
        Store.open(path)


def test_every_table_of_farmers_data_starts_its_key_with_the_line(store: Store) -> None:
    with store._db._connection() as tables:
        keys = {table.name: table.pks for table in tables.tables}
    apart = {"_sqlite_migrations", "identity", "rain", "taught", "sqlite_sequence"}
    assert {name for name, key in keys.items() if key[0] != "line_id"} == apart & keys.keys()
    assert len(keys) > 10


def test_a_line_that_is_removed_takes_all_its_rows_along(store: Store, now: datetime) -> None:
    take(store, now)
    store.farmers.add(1, now)
    store.piles.add(1, 1, now, "plan")
    store.readings.add(1, 1, "A", now, "feel", value="warm")
    store.tasks.add(1, 1, "care", now, now)
    store.conversations.save(1, 1, {}, now)
    store._db.change("DELETE FROM lines WHERE line_id = 1")
    with store._db._connection() as tables:
        left = {name: tables.table(name).count for name in tables.table_names()}
    assert {name for name, count in left.items() if count} <= {
        "_sqlite_migrations",
        "identity",
        "sqlite_sequence",
    }
