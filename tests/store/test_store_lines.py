"""Lines, farmers, piles and conversations; STOP and START in any order of arrival."""

from __future__ import annotations

from datetime import datetime, timedelta

import msgspec
import pytest

from bot.store import Line, Store
from bot.store.lines import letter_after

PHONE = "+447700900001"


@pytest.fixture
def line(store: Store, now: datetime) -> Line:
    return store.lines.find_or_add(PHONE, "harbour", now)


def state(store: Store) -> str:
    line = store.lines.by_phone(PHONE)
    assert line is not None
    return line.state


def test_the_newest_of_stop_and_start_wins_whatever_the_order_of_arrival(
    store: Store, line: Line, now: datetime
) -> None:
    assert store.lines.set_state(line.line_id, "open", now + timedelta(minutes=5))
    assert not store.lines.set_state(line.line_id, "stopped", now)
    assert state(store) == "open"
    assert store.lines.set_state(line.line_id, "stopped", now + timedelta(minutes=6))
    assert not store.lines.set_state(line.line_id, "open", now + timedelta(minutes=5, seconds=59))
    assert state(store) == "stopped"


def test_of_two_at_the_same_moment_the_later_arrival_wins(store: Store, line: Line, now: datetime) -> None:
    store.lines.set_state(line.line_id, "stopped", now)
    assert store.lines.set_state(line.line_id, "open", now)
    assert state(store) == "open"


def test_farmers_on_a_line_are_numbered_and_the_first_speaks(store: Store, line: Line, now: datetime) -> None:
    asha = store.farmers.add(line.line_id, now, name="Asha", language="sw", facts={"own": {"bucket": 18}})
    juma = store.farmers.add(line.line_id, now, name="Juma")
    assert [asha.farmer_no, juma.farmer_no] == [1, 2]
    assert store.farmers.of_line(line.line_id) == [asha, juma]
    assert store.farmers.get(line.line_id, 1) == asha
    assert store.farmers.get(line.line_id, 3) is None
    assert store.lines.get(line.line_id).farmer_no == 1  # type: ignore[union-attr]
    store.lines.set_speaker(line.line_id, 2)
    assert store.lines.get(line.line_id).farmer_no == 2  # type: ignore[union-attr]


def test_a_saved_farmer_replaces_the_known_one(store: Store, line: Line, now: datetime) -> None:
    asha = store.farmers.add(line.line_id, now, name="Asha")
    changed = msgspec.structs.replace(asha, place="Milldale", consent_at=now, facts={"measure": "basin"})
    store.farmers.save(changed)
    assert store.farmers.of_line(line.line_id) == [changed]


def test_letters_go_on_after_closed_piles(store: Store, line: Line, now: datetime) -> None:
    store.farmers.add(line.line_id, now)
    first = store.piles.add(line.line_id, 1, now, "plan", facts={"size_m": [2.0, 2.0, 1.5]})
    store.piles.save(msgspec.structs.replace(first, stage="done", closed_at=now))
    second = store.piles.add(line.line_id, 1, now, "plan", name="by the mango")
    assert [pile.letter for pile in store.piles.of_farmer(line.line_id, 1)] == ["A", "B"]
    assert store.piles.of_farmer(line.line_id, 1, open_only=True) == [second]
    closed = store.piles.get(line.line_id, 1, "A")
    assert closed is not None
    assert (closed.stage, closed.closed_at, closed.facts) == ("done", now, {"size_m": [2.0, 2.0, 1.5]})


def test_the_twenty_seventh_pile_is_aa(store: Store, line: Line, now: datetime) -> None:
    store.farmers.add(line.line_id, now)
    letters = [store.piles.add(line.line_id, 1, now, "plan").letter for _ in range(28)]
    assert letters[-3:] == ["Z", "AA", "AB"]
    assert [pile.letter for pile in store.piles.of_farmer(line.line_id, 1)] == letters


@pytest.mark.parametrize(
    ("letter", "after"), [("", "A"), ("A", "B"), ("Z", "AA"), ("AZ", "BA"), ("ZZ", "AAA")]
)
def test_letter_after(letter: str, after: str) -> None:
    assert letter_after(letter) == after


def test_a_conversation_is_kept_as_it_was_last_saved(store: Store, line: Line, now: datetime) -> None:
    store.farmers.add(line.line_id, now)
    assert store.conversations.load(line.line_id, 1) is None
    store.conversations.save(line.line_id, 1, {"dialogue": "plan", "step": "size"}, now)
    store.conversations.save(line.line_id, 1, {"dialogue": "plan", "step": "materials"}, now)
    loaded = store.conversations.load(line.line_id, 1)
    assert loaded is not None
    assert (loaded.state, loaded.updated_at) == ({"dialogue": "plan", "step": "materials"}, now)


def test_a_pile_needs_its_farmer(store: Store, line: Line, now: datetime) -> None:
    import sqlite3

    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        store.piles.add(line.line_id, 9, now, "plan")


def test_message_numbers_are_never_given_twice(store: Store, line: Line) -> None:
    assert [store.lines.next_no(line.line_id) for _ in range(3)] == [1, 2, 3]
    with pytest.raises(KeyError, match="no line 99"):
        store.lines.next_no(99)
