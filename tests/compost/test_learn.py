"""Readings move the belief, on made-up truth drawn from the model itself."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from bot.compost.errors import BadReading, OutOfRange
from bot.compost.learn import (
    Belief,
    Spread,
    band,
    believe,
    best_stick_days,
    cause_factors,
    expected_feel,
    learn,
    particles,
    quantiles,
    ripe_band,
    ripe_days_of,
    vary,
)
from bot.compost.learn_readings import FEELS, SQUEEZES, Kind, Reading, chances
from bot.compost.pile import simulate
from bot.compost.pile_events import Event

from .piles import CONSTANTS, balanced, weekly

HORIZON = 300
THREE_BUCKETS = [Event(day=day, kind="turn", amount=60) for day in range(7, HORIZON, 7)]
PILES = 400
STICK_DAYS = (*range(1, 7), *range(8, 17), 18, 20, 21, 23, 25, 27, 28, 31, 34, 37, 41, 45, 50, 57, 70)
WORDS = {"feel": FEELS, "squeeze": SQUEEZES}


@cache
def prior() -> Belief:
    return believe(balanced(), CONSTANTS, HORIZON, None, THREE_BUCKETS, count=512)


@cache
def small() -> Belief:
    return believe(balanced(), CONSTANTS, 60, None, weekly(60), count=64)


def feel(day: float, word: str) -> Reading:
    return Reading(day=day, kind="feel", word=word)


@pytest.mark.parametrize(
    ("handful", "most"), [(False, 0.50), (True, 0.45)], ids=["stick", "stick-and-handful"]
)
def test_three_stick_readings_halve_the_error_of_the_ready_date(handful: bool, most: float) -> None:
    # 400 piles with hidden activity, air, C:N and moisture, turned weekly with three buckets of water. The reader
    # knows only the plan; what it feels is drawn with the hand's blur and mistakes. The model chooses the days;
    # with a handful squeezed on the same days it does better.
    generator = np.random.default_rng(1)
    hidden = vary(balanced(), Spread(), generator.standard_normal((PILES, 4)))
    truth = simulate(hidden, CONSTANTS, HORIZON, None, THREE_BUCKETS)
    ripe, unread = ripe_days_of(truth), ripe_band(prior())[1]
    plans: dict[tuple[Reading, ...], int] = {}
    read = []
    for pile in range(PILES):
        belief = prior()
        for left in (3, 2, 1):
            told = belief.readings
            if told not in plans:
                later = [day for day in STICK_DAYS if not told or day > told[-1].day]
                plans[told] = best_stick_days(belief, later, left)[0]
            kinds: tuple[Kind, ...] = ("feel", "squeeze") if handful else ("feel",)
            for kind in kinds:
                answers = chances(kind, truth, plans[told])[:, pile]
                word = WORDS[kind][generator.choice(3, p=answers)]
                belief = learn(belief, Reading(day=plans[told], kind=kind, word=word), HORIZON)
        read.append(ripe_band(belief)[1])
    before, after = np.abs(ripe - unread).mean(), np.abs(ripe - np.array(read)).mean()
    assert after <= most * before, (before, after)


def test_same_readings_same_belief() -> None:
    first, second = (learn(small(), feel(4, "hot"), 5) for _ in range(2))
    assert np.array_equal(first.weights, second.weights)
    assert first.weights.sum() == pytest.approx(1)


def test_a_cold_stick_moves_the_ready_date_later() -> None:
    late, early = learn(prior(), feel(15, "cold"), 15), learn(prior(), feel(15, "hot"), 15)
    assert ripe_band(late)[1] > ripe_band(prior())[1] > ripe_band(early)[1]


def test_a_dry_handful_moves_the_moisture() -> None:
    dry = learn(small(), Reading(day=6, kind="squeeze", word="dry"), 6)
    assert band(dry, "core_moisture")[1][6] < band(small(), "core_moisture")[1][6]
    assert cause_factors(dry, 6)["too_dry"] > cause_factors(small(), 6)["too_dry"]


def test_a_thermometer_teaches_more_than_a_hand() -> None:
    hand = learn(small(), feel(4, "hot"), 4)
    glass = learn(small(), Reading(day=4, kind="celsius", value=68.0), 4)

    def width(belief: Belief) -> float:
        low, _, high = band(belief, "core_c")[:, 4]
        return float(high - low)

    assert width(glass) < width(hand) < width(small())


def test_ammonia_speaks_for_low_carbon_to_nitrogen() -> None:
    smelt = learn(small(), Reading(day=4, kind="smell", word="ammonia"), 4)
    assert (smelt.weights @ smelt.course.cn_ratio[4]) < (small().weights @ small().course.cn_ratio[4])


def test_volume_teaches_too() -> None:
    sunk = learn(small(), Reading(day=30, kind="volume", value=3.5), 30)
    assert (sunk.weights @ sunk.course.volume_m3[30]) < (small().weights @ small().course.volume_m3[30])


def test_expectation_of_the_next_reading_sums_to_one() -> None:
    expected = expected_feel(small(), 4)
    assert sum(expected.values()) == pytest.approx(1)
    assert expected["hot"] > expected["cold"]


def test_bands_are_ordered_and_hold_the_middle() -> None:
    low, middle, high = band(small(), "core_c")
    assert (low <= middle).all() and (middle <= high).all() and (high > low + 1).any()


def test_one_wrong_reading_does_not_settle_it() -> None:
    belief = learn(small(), feel(4, "cold"), 4)
    for day in (6, 9, 12):
        belief = learn(belief, feel(day, "hot"), day)
    assert expected_feel(belief, 13)["hot"] > 0.7


def test_a_reading_that_no_such_pile_gives_is_called_surprising() -> None:
    assert learn(small(), Reading(day=3, kind="celsius", value=99.0), 3).surprising
    assert not learn(small(), feel(3, "hot"), 3).surprising


@pytest.mark.parametrize(
    ("reading", "reason"),
    [
        (feel(9, "hot"), "in_the_future"),
        (feel(-1, "hot"), "outside_the_course"),
        (feel(4, "lukewarm"), "unknown_word"),
        (Reading(day=4, kind="celsius"), "no_value"),
        (Reading(day=5, kind="feel", word="cold"), "contradicts"),
        (Reading(day=5, kind="celsius", value=12.0), "contradicts"),
    ],
)
def test_readings_that_cannot_be_are_refused(reading: Reading, reason: str) -> None:
    known = learn(small(), feel(5, "hot"), 5)
    with pytest.raises(BadReading, match=reason):
        learn(known, reading, 8)


def test_absurd_values_are_refused() -> None:
    with pytest.raises(OutOfRange, match="celsius is 500 C"):
        learn(small(), Reading(day=4, kind="celsius", value=500.0), 5)
    with pytest.raises(OutOfRange, match="particles is 3"):
        particles(balanced(), Spread(), 3)


def test_particles_are_spread_evenly() -> None:
    crowd = particles(balanced(), Spread(), 256)
    logs = np.log(crowd.speed / balanced().speed)
    assert abs(logs.mean()) < 0.02 and logs.std() == pytest.approx(Spread().activity, rel=0.05)
    assert abs(np.corrcoef(logs, np.log(crowd.ease))[0, 1]) < 0.1


def test_weighted_quantiles_of_a_known_set() -> None:
    values, weights = np.array([3.0, 1.0, 2.0]), np.array([0.25, 0.25, 0.5])
    assert quantiles(values, weights, [0.5]) == pytest.approx([2.0])
