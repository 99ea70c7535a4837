"""What to expect of a pile from today on, and which reading would teach most about it: for the weekly message."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import msgspec
import numpy as np

from .constants import MOISTURE_TARGET
from .errors import check_range
from .learn import Belief, Spread, believe, expected_feel, learn, quantiles, ripe_band
from .learn_readings import KINDS, Kind, Reading, chances
from .pile import Series
from .pile_constants import PileConstants
from .pile_events import Event
from .pile_state import Climate, Pile

PARTICLES = 64  # the median of the ripe day lies within 4 d of that of 512
SLACK = 8.0  # of `simulate`
QUARTERS = (0.25, 0.5, 0.75)
PACE_DAYS = 14  # [d] over which the pace is taken at the end of the course
FARTHEST = 365.0  # [d] beyond the end of the course that a ripe day is looked for


class Ask(msgspec.Struct, frozen=True, kw_only=True):
    """A reading worth asking for.

    gain_bits : what its answer is expected to tell of the quarter of the ready day. [bit] error_d : how far the ready
    day is then expected to lie from the middle of what is believed. [d]
    """

    kind: Kind
    gain_bits: float
    error_d: float


class Outlook(msgspec.Struct, frozen=True, kw_only=True):
    """What is expected of a pile. Days are of its life.

    heat_c : of the middle of the pile now: one in ten below, half, one in ten above. [C]
    feels : probability that the stick feels cold, warm, hot now. [-]
    ready_days : early, middle and late day of being ripe (one in ten before, half, nine in ten); None beyond the
        horizon. [d] ready_share : probability that it is ripe within the horizon. [-]
    error_d : how far the ready day is expected to lie from the middle of what is believed. [d]
    asks : readings by what they would teach today, the best first. surprising : the last reading did not fit.
    """

    heat_c: tuple[float, float, float]
    feels: Mapping[str, float]
    ready_days: tuple[float | None, float | None, float | None]
    ready_share: float
    error_d: float
    asks: tuple[Ask, ...]
    surprising: bool


def outlook(
    pile: Pile,
    constants: PileConstants,
    today: int,
    horizon: int = 60,
    events: Sequence[Event] = (),
    readings: Sequence[Reading] = (),
    turn_every: int = 7,
    climate: Climate | None = None,
    spread: Spread | None = None,
) -> Outlook:
    """What is believed of a pile after all that was done and read to date, if its care goes on.

    pile : as planned and built. today : day of its life, 0 to 700. [d] horizon : how far to look on, 1 to 365. [d]
    events : what was done and fell to date. readings : to date, in any order.
    turn_every : days between turns from now on, with water until a handful is damp; 0 for a pile that is never
        turned, which is then watered weekly. [d]
    climate : mean weather, 22 C at sea level if left out. spread : how uncertain the pile is.
    Returns the outlook.
    Raises OutOfRange, UnknownName; BadReading for a reading of the future or against another of the same day.
    Source: Bayes' rule as in `learn`; information gain: Lindley 1956, Annals of Mathematical Statistics 27.
    """
    check_range("today", today, 0, 700, "d")
    check_range("horizon", horizon, 1, 365, "d")
    check_range("days between turns", turn_every, 0, 365, "d")
    last = today + horizon
    care = [*(event for event in events if event.day <= today), *_care(events, today, last, turn_every)]
    belief = believe(pile, constants, last, climate, care, spread, PARTICLES, SLACK)
    for reading in sorted(readings, key=lambda reading: reading.day):
        belief = learn(belief, reading, today)
    ready = tuple(None if day > last else day for day in ripe_band(belief))
    low, middle, high = quantiles(belief.course.core_c[today], belief.weights, (0.1, 0.5, 0.9)).tolist()
    return Outlook(
        heat_c=(low, middle, high),
        feels=expected_feel(belief, today),
        ready_days=(ready[0], ready[1], ready[2]),
        ready_share=float(belief.weights[belief.ripe_days <= last].sum()),
        error_d=_error(_ripe(belief, constants), belief.weights[None, :]),
        asks=best_asks(belief, constants, today),
        surprising=belief.surprising,
    )


def best_asks(belief: Belief, constants: PileConstants, day: int) -> tuple[Ask, ...]:
    """Readings that a farmer can take without an instrument, by what each would teach of the ready day.

    day : of the pile's life, on which it would be taken. [d]
    Returns one for each kind, the greatest expected information gain first.
    Raises OutOfRange for a day outside the course.
    """
    check_range("day", day, 0, belief.days, "d")
    ripe, asks = _ripe(belief, constants), []
    for kind in KINDS:
        joint = chances(kind, belief.course, day) * belief.weights
        asks.append(Ask(kind=kind, gain_bits=_gain(ripe, joint), error_d=_error(ripe, joint)))
    return tuple(sorted(asks, key=lambda ask: -ask.gain_bits))


def _ripe(belief: Belief, constants: PileConstants) -> Series:
    """Ripe day of each particle; beyond the course, where its pace over the last days would bring it. [d]"""
    food, back = belief.course.food_left, min(PACE_DAYS, belief.days)
    pace = np.log(food[-1 - back] / food[-1]) / back
    more = np.log(np.maximum(food[-1] / constants.ripe_food_left, 1.0)) / np.maximum(pace, 1e-6)
    return np.where(
        belief.ripe_days > belief.days, belief.days + np.minimum(more, FARTHEST), belief.ripe_days
    )


def _care(events: Sequence[Event], today: int, last: int, turn_every: int) -> list[Event]:
    """Turns, or waterings where it is never turned, from the last one told on; at the earliest tomorrow."""
    step, kind = (turn_every, "turn") if turn_every else (7, "water")
    told = [event.day for event in events if event.kind in ("turn", kind) and event.day <= today]
    first = max(int(max(told, default=0)) + step, today + 1)
    return [Event(day=day, kind=kind, until=MOISTURE_TARGET) for day in range(first, last, step)]  # type: ignore[arg-type]


def _gain(ripe: Series, joint: Series) -> float:
    """Mutual information of an answer and the quarter in which the ripe day lies. [bit]

    ripe : day of each particle. [d] joint : probability of each answer (rows) with each particle.
    """
    quarter = np.searchsorted(quantiles(ripe, joint.sum(axis=0), QUARTERS), ripe)
    both = np.array([joint[:, quarter == i].sum(axis=1) for i in range(4)])
    apart = both.sum(axis=1, keepdims=True) * both.sum(axis=0, keepdims=True)
    some = both > 0
    return max(float((both[some] * np.log2(both[some] / apart[some])).sum()), 0.0)


def _error(ripe: Series, joint: Series) -> float:
    """Expected distance of the ripe day from the median of what is believed after each answer. [d]"""
    order = np.argsort(ripe, kind="stable")
    ripe, joint = ripe[order], joint[:, order]
    below = np.cumsum(joint, axis=1)
    middle = ripe[np.argmax(below >= 0.5 * below[:, -1:], axis=1)]
    return float((joint * np.abs(ripe - middle[:, None])).sum())
