"""What is expected of a pile from today on, and what to ask its farmer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from bot.compost import (
    AtHand,
    Catalogue,
    Event,
    Outlook,
    Reading,
    Shape,
    Size,
    outlook,
    pile_of_plan,
    plan_pile,
)
from bot.compost.errors import BadReading, OutOfRange
from bot.compost.learn import believe
from bot.compost.learn_readings import KINDS, chances
from bot.compost.outlook import SLACK, _error, _gain, _ripe

from .piles import CONSTANTS, balanced, weekly


def look(
    today: int, words: Sequence[tuple[int, str, str]] = (), horizon: int = 60, turn_every: int = 7
) -> Outlook:
    """The ordinary 2 m pile, turned weekly with three buckets of water to date, and what was read of it."""
    done = [Event(day=day, kind="turn", amount=60) for day in range(7, today + 1, 7)] if turn_every else []
    readings = [Reading(day=day, kind=kind, word=word) for day, kind, word in words]  # type: ignore[arg-type]
    return outlook(balanced(), CONSTANTS, today, horizon, done, readings, turn_every)


def test_a_young_pile_is_expected_hot_and_an_old_one_cold() -> None:
    young, old = look(3), look(100, horizon=30)
    assert young.feels["hot"] > 0.7 and young.heat_c[1] > 55
    assert old.feels["cold"] > 0.5 > old.feels["hot"]
    for found in (young, old):
        assert found.heat_c[0] <= found.heat_c[1] <= found.heat_c[2]
        assert sum(found.feels.values()) == pytest.approx(1)


def test_readings_move_the_ready_day_and_narrow_it() -> None:
    unread = look(14)
    cold = look(14, [(4, "feel", "cold")])
    hot = look(14, [(4, "feel", "hot"), (11, "feel", "hot")])
    assert cold.ready_share < unread.ready_share < hot.ready_share
    assert None not in (early := [found.ready_days[0] for found in (cold, unread, hot)])
    assert early[0] > early[2]  # type: ignore[operator]


def test_a_day_beyond_the_horizon_is_not_named() -> None:
    never = look(30, horizon=60, turn_every=0)
    assert never.ready_days == (None, None, None) and never.ready_share < 0.1
    near = look(30, horizon=120)
    early, middle, _ = near.ready_days
    assert early is not None and middle is not None and early <= middle <= 150


def test_the_stick_teaches_most_on_the_first_day_and_a_handful_after_a_month() -> None:
    assert look(1).asks[0].kind == "feel"
    assert look(28).asks[0].kind == "squeeze"
    built = {ask.kind: ask for ask in look(0).asks}
    assert built["feel"].gain_bits < 0.001 < built["squeeze"].gain_bits


@pytest.mark.parametrize(("today", "turn_every"), [(0, 7), (10, 7), (40, 0)])
def test_asking_is_never_expected_to_harm(today: int, turn_every: int) -> None:
    found = look(today, turn_every=turn_every)
    assert {ask.kind for ask in found.asks} == set(KINDS)
    gains = [ask.gain_bits for ask in found.asks]
    assert gains == sorted(gains, reverse=True) and gains[-1] >= 0 and gains[0] <= 2
    assert all(ask.error_d <= found.error_d + 1e-9 for ask in found.asks)


def test_gain_of_a_perfect_answer_and_of_none() -> None:
    ripe = np.array([10.0, 20.0, 30.0, 40.0])
    perfect, none = np.eye(4) / 4, np.full((2, 4), 0.125)
    assert _gain(ripe, perfect) == pytest.approx(2.0) and _error(ripe, perfect) == 0
    assert _gain(ripe, none) == pytest.approx(0.0, abs=1e-12)
    assert _error(ripe, none) == pytest.approx(10.0)  # from the median 20: 10, 0, 10, 20


@pytest.mark.parametrize("kind", [*KINDS, "celsius"])
def test_answers_to_a_question_sum_to_one(kind: str) -> None:
    belief = believe(balanced(), CONSTANTS, 20, count=32)
    answers = chances(kind, belief.course, 12)  # type: ignore[arg-type]
    assert answers.min() > 0 and answers.sum(axis=0) == pytest.approx(np.ones(32))


def test_beyond_the_course_the_order_of_ripe_days_is_that_of_a_longer_one() -> None:
    short, long = (
        believe(balanced(), CONSTANTS, days, None, weekly(days), None, 32, SLACK) for days in (42, 200)
    )
    late = (long.ripe_days > 42) & (long.ripe_days <= 200)
    assert late.sum() > 10
    rank = [np.argsort(np.argsort(days[late])) for days in (_ripe(short, CONSTANTS), long.ripe_days)]
    assert np.corrcoef(*rank)[0, 1] > 0.95


def test_what_is_yet_to_come_is_not_taken_for_done() -> None:
    later = [Event(day=20, kind="add"), Event(day=30, kind="rain", amount=100)]
    assert outlook(balanced(), CONSTANTS, 10, 30, later) == outlook(balanced(), CONSTANTS, 10, 30)


def test_same_facts_same_outlook_in_any_order() -> None:
    words = [(4, "feel", "warm"), (9, "squeeze", "dry")]
    assert look(14, words) == look(14, words[::-1])


@pytest.mark.parametrize("shape", ["upright", "tapered", "dome"])
def test_a_planned_heap_is_a_pile_of_the_model(catalogue: Catalogue, shape: Shape) -> None:
    hands = [AtHand("maize_stalks", None, "chopped"), AtHand("cattle_manure")]
    plan = plan_pile(catalogue, Size(2.0, 2.0, 1.5, shape), hands)
    pile = pile_of_plan(plan, catalogue, CONSTANTS)
    assert pile.length_m * pile.width_m * pile.height_m == pytest.approx(plan.volume_m3)
    assert pile.dry_kg + pile.water_kg == pytest.approx(plan.whole.mass_kg + plan.water_l)
    assert pile.carbon_kg / pile.nitrogen_kg == pytest.approx(plan.cn_ratio)
    assert pile.speed == CONSTANTS.speed["medium"]
    assert outlook(pile, CONSTANTS, 3, 30).heat_c[1] > 30  # the air has 22 C


def test_whole_stalks_are_long_or_coarse_pieces(catalogue: Catalogue) -> None:
    plan = plan_pile(
        catalogue, Size(1.5, 1.5, 1.5), [AtHand("maize_stalks", None, "whole"), AtHand("cattle_manure")]
    )
    assert pile_of_plan(plan, catalogue, CONSTANTS).speed < CONSTANTS.speed["medium"]


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(BadReading, match="in_the_future"):
        look(5, [(6, "feel", "hot")])
    with pytest.raises(OutOfRange, match="horizon is 0 d"):
        look(5, horizon=0)
    with pytest.raises(OutOfRange, match="today is -1 d"):
        look(-1)
