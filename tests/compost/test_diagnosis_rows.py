"""The published troubleshooting tables: their cause comes first after at most three questions."""

from __future__ import annotations

import pytest

from bot.compost.diagnosis_cases import Case, play

from .causes import CASES, TABLE


def test_first_in_at_least_95_percent_of_rows_and_second_in_the_rest() -> None:
    ranks = {name: play(TABLE, case).rank for name, case in CASES.items()}
    assert max(ranks.values()) <= 2, {name: rank for name, rank in ranks.items() if rank > 2}
    first = sum(rank == 1 for rank in ranks.values())
    assert first / len(ranks) >= 0.95, {name: rank for name, rank in ranks.items() if rank > 1}


@pytest.mark.parametrize("name", CASES)
def test_at_most_three_questions(name: str) -> None:
    assert len(play(TABLE, CASES[name]).asked) <= 3


def test_every_published_row_is_played() -> None:
    rows = {name.rstrip("ab") for name in CASES}
    assert {f"TRBL-{number:02}" for number in range(1, 21)} <= rows


def test_a_case_is_not_told_what_was_not_asked() -> None:
    silent = Case(source="none", mark="practice", sign={"feel": "cold"}, told={}, causes=("too_dry",))
    outcome = play(TABLE, silent)
    assert len(outcome.asked) == 3
    assert outcome.diagnosis.best.probability < TABLE.sure_enough
