"""Signs of ready compost are common practice; index and C:N as in the rows of bot/checks/use.py."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot import compost as core

GOOD = {"age_days": 60.0, "turns": 8, "heat": "cold", "reheats": False, "smell": "earthy",
        "pieces": "none", "colour": "dark", "crumbly": True}  # fmt: skip


def signs(**changes: object) -> core.Signs:
    return core.Signs(**{**GOOD, **changes})  # type: ignore[arg-type]


def test_all_good_signs_are_ready() -> None:
    found = core.readiness(signs())
    assert (found.verdict, found.against, found.ask, found.wait_days) == ("ready", (), (), 0.0)


@pytest.mark.parametrize(
    ("changes", "verdict", "reason"),
    [
        ({"heat": "hot"}, "not_ready", "hot"),
        ({"reheats": True}, "not_ready", "reheats"),
        ({"smell": "ammonia"}, "not_ready", "smells"),
        ({"smell": "rotten"}, "not_ready", "smells"),
        ({"pieces": "many"}, "not_ready", "pieces"),
        ({"colour": "as_built"}, "not_ready", "colour"),
        ({"age_days": 20.0, "turns": 3, "reheats": None}, "not_ready", "too_young"),
        ({"age_days": 100.0, "turns": 0, "reheats": None}, "not_ready", "too_young"),
        ({"cn_ratio": 35.0}, "not_ready", "cn_high"),
        ({"germination_index": 40.0}, "not_ready", "harms_seeds"),
        ({"germination_index": 70.0}, "cure", "weak_seeds"),
        ({"heat": "warm"}, "cure", "hot"),
        ({"crumbly": False}, "cure", "not_crumbly"),
    ],
)
def test_one_sign_against_it(changes: dict[str, object], verdict: str, reason: str) -> None:
    found = core.readiness(signs(**changes))
    assert found.verdict == verdict
    assert reason in found.against
    assert found.wait_days > 0


def test_what_is_not_known_is_asked_for() -> None:
    found = core.readiness(signs(heat=None, smell=None, pieces=None, colour=None))
    assert found.verdict == "unknown"
    assert set(found.ask) == {"heat", "smell", "pieces", "colour"}
    tested = core.readiness(signs(pieces=None, colour=None, germination_index=95.0))
    assert tested.verdict == "ready"


def test_good_seeds_prove_more_than_the_calendar() -> None:
    young = {"age_days": 30.0, "turns": 10, "reheats": None}
    assert core.readiness(signs(**young)).verdict == "not_ready"
    assert core.readiness(signs(**young, germination_index=95.0)).verdict == "ready"


RANK = {"not_ready": 0, "cure": 1, "unknown": 2, "ready": 3}


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0, 400), st.floats(0, 400), st.integers(0, 12),
    st.sampled_from(["cold", "warm", "hot"]), st.sampled_from(["earthy", "sour"]), st.sampled_from(["none", "many"]),
)  # fmt: skip
def test_older_is_never_less_ready(
    first: float, second: float, turns: int, heat: str, smell: str, pieces: str
) -> None:
    low, high = (
        core.readiness(signs(age_days=age, turns=turns, heat=heat, smell=smell, pieces=pieces, reheats=None))
        for age in sorted((first, second))
    )
    assert RANK[low.verdict] <= RANK[high.verdict]


def test_better_signs_are_never_worse() -> None:
    orders = {
        "heat": ["hot", "warm", "cold"],
        "pieces": ["many", "few", "none"],
        "colour": ["as_built", "brown", "dark"],
        "germination_index": [20.0, 60.0, 90.0],
        "cn_ratio": [40.0, 20.0],
    }
    for field, values in orders.items():
        for worse, better in itertools.pairwise(values):
            low, high = (core.readiness(signs(**{field: value})) for value in (worse, better))
            assert RANK[low.verdict] <= RANK[high.verdict]


def test_turning_brings_the_date_forward() -> None:
    ages = [core.usual_age_days(core.Signs(age_days=60, turns=turns))[0] for turns in range(9)]
    assert ages == sorted(ages, reverse=True)
    assert (ages[0], ages[8]) == (182.0, 42.0)


@pytest.mark.parametrize(
    "changes",
    [{"age_days": -1.0}, {"turns": -1}, {"cn_ratio": 0.0}, {"germination_index": 1e6}, {"age_days": 1e9}],
)
def test_absurd_signs(changes: dict[str, object]) -> None:
    with pytest.raises(core.OutOfRange):
        core.readiness(signs(**changes))


def test_a_test_without_a_control_is_refused() -> None:
    with pytest.raises(core.OutOfRange, match="control_sprouts"):
        core.germination_index(5, 20.0, 0, 20.0)
    with pytest.raises(core.OutOfRange, match="root_mm"):
        core.germination_index(5, -1.0, 10, 20.0)
