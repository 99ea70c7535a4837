"""Rules of 7 CFR 205.203 (published) and 40 CFR 503 (from memory); their numbers are rows of bot/checks/use.py."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot import compost as core


def readings(celsius: float, days: int) -> list[core.CoreReading]:
    return [core.CoreReading(day, celsius) for day in range(days)]


FIVE_TURNS = [2.0, 5.0, 8.0, 11.0, 14.0]


def test_a_thermometer_through_fifteen_days_and_five_turns_proves_it() -> None:
    found = core.judge_hygiene(readings(60, 15), FIVE_TURNS, today=30)
    assert found.proven
    assert (found.wait_touching_soil_d, found.wait_above_soil_d) == (0, 0)


def test_a_stick_never_proves_it() -> None:
    found = core.judge_hygiene(readings(60, 30), FIVE_TURNS, today=30, evidence="stick")
    assert not found.proven
    assert found.lacks == ("no_thermometer",)
    assert (found.wait_touching_soil_d, found.wait_above_soil_d) == (120, 90)


@pytest.mark.parametrize(
    ("celsius", "days", "turns", "lack"),
    [
        (54.9, 30, FIVE_TURNS, "too_few_hot_days"),
        (78.0, 30, FIVE_TURNS, "too_few_hot_days"),  # 7 CFR 205.203 stops counting at 170 F
        (60.0, 14, FIVE_TURNS, "too_few_hot_days"),
        (60.0, 15, FIVE_TURNS[:4], "too_few_turns"),
        (60.0, 15, [3.0] * 5, "too_few_turns"),
        (60.0, 15, [20.0, 21.0, 22.0, 23.0, 24.0], "too_few_turns"),
    ],
)
def test_what_is_lacking(celsius: float, days: int, turns: list[float], lack: str) -> None:
    found = core.judge_hygiene(readings(celsius, days), turns, today=40)
    assert not found.proven
    assert lack in found.lacks


def test_a_day_between_two_hot_ones_counts_and_a_cool_one_does_not() -> None:
    every_other = [core.CoreReading(day, 60) for day in range(0, 15, 2)]
    assert core.judge_hygiene(every_other, FIVE_TURNS, today=40).hot_days == 15
    cooled = [*every_other, core.CoreReading(7, 40)]
    assert core.judge_hygiene(cooled, FIVE_TURNS, today=40).hot_days == 14


def test_an_unaerated_unturned_heap_has_no_rule() -> None:
    found = core.judge_hygiene(readings(60, 30), [], today=40, method="unaerated")
    assert "no_such_rule" in found.lacks


@pytest.mark.parametrize("call", [
    lambda: core.judge_hygiene([core.CoreReading(9, 60)], [], today=8),
    lambda: core.judge_hygiene([], [9], today=8),
])  # fmt: skip
def test_the_future_is_refused(call: object) -> None:
    with pytest.raises(core.BadReading, match="in_the_future"):
        call()  # type: ignore[operator]


def test_absurd_readings_are_refused() -> None:
    with pytest.raises(core.OutOfRange, match="celsius"):
        core.judge_hygiene([core.CoreReading(1, 900)], [], today=8)
    with pytest.raises(core.OutOfRange, match="temperature_c"):
        core.heat_treatment_days(49.0)
    with pytest.raises(core.CannotReach, match="under_20_minutes"):
        core.heat_treatment_days(80.0)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 60), st.floats(20, 80)), max_size=40),
    st.lists(st.integers(0, 60), max_size=8),
)
def test_more_evidence_of_heat_never_counts_for_less(
    found: list[tuple[int, float]], turns: list[int]
) -> None:
    given_readings = [core.CoreReading(day, celsius) for day, celsius in found]
    before = core.judge_hygiene(given_readings, turns, today=60)
    free = next((day for day in range(61) if all(int(r.day) != day for r in given_readings)), None)
    if free is None:
        return
    after = core.judge_hygiene([*given_readings, core.CoreReading(free, 60.0)], turns, today=60)
    assert after.hot_days >= before.hot_days
    assert after.turns >= before.turns
