"""What readings teach about one pile: Bayes' rule on the uncertain parameters of the pile model.

A few hundred particles, spread evenly over what is uncertain when a pile is built, are run through the model at once.
Each reading then weighs every particle by how likely it makes that reading; what is believed of moisture, heat and the
ripe day is the weighted crowd. No random numbers: the same pile and readings always give the same answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from statistics import NormalDist

import msgspec
import numpy as np
import numpy.typing as npt

from .errors import check_range
from .learn_readings import FEELS, Reading, check_reading, likelihood, probability_of_feels
from .pile import Course, Series, simulate
from .pile_constants import PileConstants
from .pile_events import Event
from .pile_state import Climate, Pile

MOST_PARTICLES = 4096
# Bases of the R-sequence in four dimensions: powers of 1 / 1.16730397..., the root of x^5 = x + 1
# (Roberts 2018, The unreasonable effectiveness of quasirandom sequences).
_ROOT = 1.1673039782614187
_STEPS = np.array([_ROOT**-k for k in (1, 2, 3, 4)])


class Spread(msgspec.Struct, frozen=True, kw_only=True):
    """How uncertain a pile is when built, as standard deviations (estimates).

    activity, air, cn_ratio : of the natural logarithm. [-] Piles of the same materials differ in pace by a quarter
        and in how easily air passes by half; C:N measured in buckets of stuff whose nitrogen stands in a table is
        known to a third.
    moisture : of the fraction; tables give manure 59 to 87 % and straw 4 to 27 % (NRAES-54, from memory). [kg/kg]
    """

    activity: float = 0.25
    air: float = 0.5
    cn_ratio: float = 0.3
    moisture: float = 0.12


class Belief(msgspec.Struct, frozen=True, kw_only=True):
    """What is believed of one pile.

    course : the model's days by particles. ripe_days : by particle; the last day of the course plus one where it
    never ripens. [d] weights : of the particles, sum 1. [-] readings : those learnt from.
    surprising : no particle made the last reading likely: something happened that the model does not know of.
    """

    course: Course
    ripe_days: npt.NDArray[np.float64]
    weights: npt.NDArray[np.float64]
    readings: tuple[Reading, ...] = ()
    surprising: bool = False

    @property
    def days(self) -> int:
        """Last day of the course. [d]"""
        return int(self.course.core_c.shape[0]) - 1


def particles(pile: Pile, spread: Spread, count: int) -> Pile:
    """Many versions of a pile, spread evenly over what is uncertain.

    count : 16 to 4096.
    Returns a pile with arrays of `count` values.
    Raises OutOfRange.
    """
    check_range("particles", count, 16, MOST_PARTICLES, "")
    unit = (0.5 + np.outer(np.arange(1, count + 1), _STEPS)) % 1.0
    return vary(pile, spread, np.array([[NormalDist().inv_cdf(u) for u in row] for row in unit]))


def vary(pile: Pile, spread: Spread, normal: Series) -> Pile:
    """Versions of a pile at given standard normal deviates of activity, air, C:N and moisture (rows by four)."""
    total = pile.dry_kg + pile.water_kg
    moisture = np.clip(pile.water_kg / total + spread.moisture * normal[:, 3], 0.10, 0.85)
    ones = np.ones(len(normal))
    fixed = {name: getattr(pile, name) * ones for name in Pile.__struct_fields__}
    return Pile(
        **{
            **fixed,
            "speed": pile.speed * np.exp(spread.activity * normal[:, 0]),
            "ease": pile.ease * np.exp(spread.air * normal[:, 1]),
            "nitrogen_kg": pile.nitrogen_kg * np.exp(spread.cn_ratio * normal[:, 2]),
            "water_kg": pile.dry_kg * moisture / (1.0 - moisture),
        }
    )


def believe(
    pile: Pile,
    constants: PileConstants,
    days: int,
    climate: Climate | None = None,
    events: Sequence[Event] = (),
    spread: Spread | None = None,
    count: int = 256,
    slack: float = 1.0,
) -> Belief:
    """What is believed of a pile before any reading.

    pile : as planned and built. days, climate, events, slack : as for `simulate`, past and planned. [d], [-]
    Returns a belief of even weights.
    Raises OutOfRange, UnknownName.
    """
    many = particles(pile, spread or Spread(), count)
    course = simulate(many, constants, days, climate, events, slack=slack)
    return Belief(course=course, ripe_days=ripe_days_of(course), weights=np.full(count, 1.0 / count))


def ripe_days_of(course: Course) -> Series:
    """Ripe day of each pile, between whole days; last day plus one where it never ripens. [d]"""
    ripe = course.ripeness >= 1.0
    day = np.where(ripe.any(axis=0), ripe.argmax(axis=0), len(ripe)).astype(float)
    return np.asarray(day)


def learn(belief: Belief, reading: Reading, today: float) -> Belief:
    """The belief after one more reading.

    today : day of the pile's life on which this is asked. [d]
    Returns the belief with new weights.
    Raises BadReading for a reading of the future, beyond the course, or against another of the same day.
    """
    check_reading(reading, belief.readings, today, belief.days)
    chances, honest = likelihood(reading, belief.course)
    weights = belief.weights * chances
    total = float(weights.sum())
    return msgspec.structs.replace(
        belief,
        weights=weights / total,
        readings=(*belief.readings, reading),
        surprising=bool((belief.weights * honest).sum() < SURPRISING),
    )


SURPRISING = (
    0.02  # [-] a reading less likely than this did not come from the pile that was described; estimate
)


def quantiles(values: Series, weights: Series, shares: Sequence[float]) -> Series:
    """Weighted quantiles.

    values, weights : of the same length. shares : wanted, 0 to 1. [-]
    Returns one value for each share.
    """
    order = np.argsort(values)
    heap = np.cumsum(weights[order]) - 0.5 * weights[order]
    return np.asarray(np.interp(shares, heap, values[order]))


def ripe_band(belief: Belief) -> tuple[float, float, float]:
    """Early, middle and late day on which the pile is ripe: one in ten before, half, nine in ten. [d]"""
    early, middle, late = quantiles(belief.ripe_days, belief.weights, (0.1, 0.5, 0.9))
    return float(early), float(middle), float(late)


def band(belief: Belief, series: str, shares: Sequence[float] = (0.1, 0.5, 0.9)) -> Series:
    """A series of the course as a band: one row for each share, one column a day. [as the series]"""
    values: Series = getattr(belief.course, series)
    return np.array([quantiles(day, belief.weights, shares) for day in values]).T


def expected_feel(belief: Belief, day: int) -> dict[str, float]:
    """Probability that a stick drawn on a day feels cold, warm, hot.

    day : of the pile's life, within the course. [d]
    Returns the three, sum 1. [-]
    Raises OutOfRange.
    """
    check_range("day", day, 0, belief.days, "d")
    chances = probability_of_feels(belief.course.core_c[day]) @ belief.weights
    return dict(zip(FEELS, (float(chance) for chance in chances), strict=True))


def best_stick_days(belief: Belief, days: Sequence[int], count: int) -> tuple[int, ...]:
    """The days on which feeling the stick would together narrow the ripe day most.

    days : to choose from, rising, within the course, at most 30. count : how many, 1 to 3.
    Returns the days after whose readings the ripe day is expected to lie least far from its middle (least expected
    absolute error of the median), every combination tried. After a reading, ask again for the rest.
    Raises OutOfRange for a day outside the course or a wrong count.
    """
    check_range("days to choose from", len(days), count, 30, "")
    check_range("count", count, 1, 3, "")
    for day in days:
        check_range("day", day, 0, belief.days, "d")
    order = np.argsort(belief.ripe_days)
    ripe, weights = belief.ripe_days[order], belief.weights[order]
    feels = {day: probability_of_feels(belief.course.core_c[day][order]) for day in days}

    def error(plan: tuple[int, ...]) -> float:
        joint = weights[None, :]
        for day in plan:
            joint = (joint[:, None, :] * feels[day][None, :, :]).reshape(-1, len(ripe))
        below = np.cumsum(joint, axis=1)
        middle = ripe[np.argmax(below >= 0.5 * below[:, -1:], axis=1)]
        return float((joint * np.abs(ripe - middle[:, None])).sum())

    return min(combinations(days, count), key=error)


def cause_factors(belief: Belief, day: int) -> dict[str, float]:
    """What the model's belief says to the diagnosis: factors on the prior of causes.

    day : of the pile's life. [d]
    Returns for each cause the share of belief in which it holds, over the share of piles in which it usually does
    (estimates, near the `usual` of data/causes.toml), between 0.1 and 10. [-]
    Raises OutOfRange.
    """
    check_range("day", day, 0, belief.days, "d")
    course = belief.course
    holds = {
        "too_dry": (course.core_moisture[day] < 0.40, 0.18),
        "too_wet": (course.moisture[day] > 0.67, 0.10),
        "too_little_nitrogen": (course.cn_ratio[day] > 40.0, 0.20),
        "too_much_nitrogen": (course.cn_ratio[day] < 18.0, 0.10),
        "finished": (course.ripeness[day] >= 1.0, 0.15),
    }
    return {
        cause: float(np.clip((belief.weights * true).sum() / usual, 0.1, 10.0))
        for cause, (true, usual) in holds.items()
    }
