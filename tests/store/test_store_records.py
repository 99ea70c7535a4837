"""Tasks, questions, readings, texts not understood, rain."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import numpy as np
import pytest

from bot.store import Store

HOUR = timedelta(hours=1)


@pytest.fixture
def line_id(store: Store, now: datetime) -> int:
    line = store.lines.find_or_add("+447700900001", "harbour", now)
    store.farmers.add(line.line_id, now, name="Asha")
    store.piles.add(line.line_id, 1, now, "care")
    return line.line_id


def test_tasks_fall_due_in_the_order_of_their_times(store: Store, line_id: int, now: datetime) -> None:
    later = store.tasks.add(line_id, 1, "care", now + 2 * HOUR, now, letter="A", data={"week": 3})
    sooner = store.tasks.add(line_id, 1, "check", now + HOUR, now, letter="A")
    assert store.tasks.due(now, 10) == []
    assert store.tasks.next_due() == now + HOUR
    assert store.tasks.due(now + HOUR, 10) == [sooner]
    assert store.tasks.due(now + 2 * HOUR, 10) == [sooner, later]
    assert store.tasks.due(now + 2 * HOUR, 1) == [sooner]


def test_a_task_is_finished_once(store: Store, line_id: int, now: datetime) -> None:
    task = store.tasks.add(line_id, 1, "care", now, now)
    assert store.tasks.finish(task)
    assert not store.tasks.finish(task)
    assert not store.tasks.move(task, now + HOUR)
    assert store.tasks.next_due() is None


def test_a_task_can_be_moved(store: Store, line_id: int, now: datetime) -> None:
    task = store.tasks.add(line_id, 1, "care", now, now)
    assert store.tasks.move(task, now + HOUR)
    assert store.tasks.next_due() == now + HOUR


def test_dropping_takes_what_is_named_and_no_more(store: Store, line_id: int, now: datetime) -> None:
    store.piles.add(line_id, 1, now, "care")
    for letter, dialogue in (("A", "care"), ("A", "check"), ("B", "care"), (None, "season")):
        store.tasks.add(line_id, 1, dialogue, now, now, letter=letter)
    assert store.tasks.drop(line_id, 1, "A", "care") == [1]
    assert [(t.letter, t.dialogue) for t in store.tasks.of_farmer(line_id, 1)] == [
        ("A", "check"), ("B", "care"), (None, "season"),
    ]  # fmt: skip
    assert [t.dialogue for t in store.tasks.of_farmer(line_id, 1, "B")] == ["care"]
    assert store.tasks.drop(line_id, 1, "A") == [2]
    assert store.tasks.drop(line_id) == [3, 4]
    assert store.tasks.due(now, 10) == []


def test_a_question_waits_with_the_state_of_the_pile(store: Store, line_id: int, now: datetime) -> None:
    question = store.questions.add(
        line_id, 1, "Why white threads?", now, letter="A", snapshot={"stage": "care"}
    )
    assert store.questions.open() == [question]
    assert store.counts(now).questions_open == 1
    assert store.questions.answer(line_id, question.question_no, "Good fungus.", now + HOUR)
    assert not store.questions.answer(line_id, question.question_no, "Twice?", now + HOUR)
    kept = store.questions.get(line_id, question.question_no)
    assert kept is not None
    assert (kept.answer, kept.answered_at, kept.snapshot) == ("Good fungus.", now + HOUR, {"stage": "care"})
    assert store.questions.open() == []


def test_readings_come_newest_first_and_by_kind(store: Store, line_id: int, now: datetime) -> None:
    warm = store.readings.add(line_id, 1, "A", now, "feel", value="warm", in_no=3)
    hot = store.readings.add(line_id, 1, "A", now + HOUR, "celsius", celsius=58.0)
    cold = store.readings.add(line_id, 1, "A", now + 2 * HOUR, "feel", value="cold")
    assert store.readings.latest(line_id, 1, "A") == [cold, hot, warm]
    assert store.readings.latest(line_id, 1, "A", kind="feel") == [cold, warm]
    assert store.readings.latest(line_id, 1, "A", limit=1) == [cold]
    assert store.readings.latest(line_id, 1, "B") == []


def test_numbers_of_the_core_are_stored_as_numbers(store: Store, line_id: int, now: datetime) -> None:
    store.readings.add(line_id, 1, "A", now, "celsius", celsius=np.float64(58.5))
    (kept,) = store.readings.latest(line_id, 1, "A")
    assert (kept.celsius, type(kept.celsius)) == (58.5, float)
    store.tasks.add(line_id, 1, "care", now, now, data={"litres": np.float64(40.5), "rounds": [np.int64(3)]})
    assert store.tasks.due(now, 1)[0].data == {"litres": 40.5, "rounds": [3]}
    with pytest.raises(NotImplementedError, match="cannot keep a object"):
        store.tasks.add(line_id, 1, "care", now, now, data={"odd": object()})


def test_texts_not_understood_are_kept_for_the_word_lists(store: Store, line_id: int, now: datetime) -> None:
    store.unread.add(line_id, now, "stik is col", language="en", expect="feel")
    store.unread.add(line_id, now + HOUR, "🌱", language=None, expect=None)
    kept = store.unread.latest(10)
    assert [(text.no, text.text, text.expect) for text in kept] == [
        (2, "🌱", None),
        (1, "stik is col", "feel"),
    ]


def test_rain_adds_up_by_day_and_takes_the_wettest_source(store: Store) -> None:
    monday, tuesday = date(2026, 3, 2), date(2026, 3, 3)
    store.rain.add("Milldale", monday, 5, "farmer")
    store.rain.add("  mildale ".replace("ld", "lld").upper(), monday, 7, "farmer")
    store.rain.set_day("Milldale", monday, 9, "station")
    store.rain.set_day("Milldale", tuesday, 3, "station")
    store.rain.set_day("Milldale", tuesday, 4, "station")
    store.rain.add("Highfield", monday, 50, "farmer")
    assert store.rain.total_mm("milldale", monday) == pytest.approx(12 + 4)
    assert store.rain.total_mm("Milldale", tuesday) == pytest.approx(4)
    assert store.rain.total_mm("Nowhere", monday) == 0.0


@pytest.mark.parametrize("mm", [-1, float("nan"), float("inf"), 2000])
def test_impossible_rain_is_refused(store: Store, mm: float) -> None:
    with pytest.raises(ValueError, match="0 to 2000 mm"):
        store.rain.add("Milldale", date(2026, 3, 2), mm, "farmer")


def test_overdue_tasks_are_counted(store: Store, line_id: int, now: datetime) -> None:
    store.tasks.add(line_id, 1, "care", now, now)
    store.tasks.add(line_id, 1, "care", now + HOUR, now)
    assert store.counts(now).tasks_overdue == 1
