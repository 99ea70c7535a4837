"""What to expect of a pile by the model and by what its farmer has told: heat now, ready when, what to ask next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import date, timedelta
from typing import Any

from bot.advice.amounts import Carrier, Said
from bot.advice.caring import WEEK, age_days, usual_air_c, weekly_turn
from bot.advice.planning import plan_of
from bot.advice.tables import catalogue, pile_constants
from bot.compost import (
    MOISTURE_TARGET,
    Climate,
    CompostError,
    Event,
    PilePlan,
    Reading,
    believe,
    cause_factors,
    learn,
    outlook,
    pile_of_plan,
)

Result = dict[str, Any]
History = Sequence[Sequence[Any]]
"""What was told of a pile, oldest first: its age [d], the kind of reading, its word, its temperature [C] or None."""
HORIZON_TURNED, HORIZON_UNTURNED = 90, 365  # [d]
PARTICLES, SLACK = 64, 8.0  # enough for which cause is likelier, and quick
BELIEVED = ("finished",)
"""Causes on which the diagnosis hears the model. Moisture it asks, and that a farmer watered as told is only assumed;
manure it knows from the plan."""
NEAR = 4  # [d] a turn told this near to an expected one is that one
ASKED = ("feel", "squeeze", "smell")
_WORDS = {"too_hot": "hot"}


def foresee(
    built_on: str,
    today: str,
    size: list[float],
    materials: Said,
    measure: Said | None = None,
    history: History = (),
    turning: str | None = None,
    latitude: float | None = None,
) -> Result:
    """The outlook of a pile.

    known : `no` when the model cannot tell. heat : what the stick most likely feels now. ready_from, ready_to : the
    days between which it is ripe in eight of ten cases. ask : the reading that would tell most of that day.
    """
    age = age_days(built_on, today)
    unturned = turning == "no"
    nothing = {"known": "no", "heat": "warm", "ready_from": today, "ready_to": today, "ask": "feel"}
    try:
        plan = plan_of(size, materials, Carrier(measure))
        constants = pile_constants()
        pile = pile_of_plan(plan, catalogue(), constants)
        found = outlook(
            pile, constants, age, HORIZON_UNTURNED if unturned else HORIZON_TURNED, _events(history, age, unturned),
            _readings(history), 0 if unturned else WEEK, _climate(latitude, built_on),
        )  # fmt: skip
    except CompostError:
        return nothing
    early, _, late = found.ready_days
    if early is None or late is None:
        return nothing | {"ask": _ask([each.kind for each in found.asks])}
    return {
        "known": "yes",
        "heat": max(found.feels, key=lambda feel: found.feels[feel]),
        "ready_from": _day(built_on, max(early, age)),
        "ready_to": _day(built_on, max(late, age)),
        "ask": _ask([each.kind for each in found.asks]),
    }


def believed_causes(
    plan: PilePlan,
    built_on: str,
    age: int,
    history: History = (),
    turning: str | None = None,
    latitude: float | None = None,
) -> Mapping[str, float]:
    """Factors of the model's belief on the causes of a cold pile; none where the model cannot tell.

    history : what was told. Readings of today are left out: the diagnosis weighs them itself.
    """
    before = [each for each in history if each[0] < age]
    try:
        pile = pile_of_plan(plan, catalogue(), pile_constants())
        events = _events(history, age, turning == "no")
        belief = believe(
            pile, pile_constants(), max(age, 1), _climate(latitude, built_on), events,
            count=PARTICLES, slack=SLACK,
        )  # fmt: skip
        for reading in _readings(before):
            belief = learn(belief, reading, age)
        factors = cause_factors(belief, age)
        return {cause: factors[cause] for cause in BELIEVED}
    except CompostError:
        return {}


def _ask(kinds: Sequence[str]) -> str:
    return next((kind for kind in kinds if kind in ASKED), "feel")


def _day(built_on: str, age: float) -> str:
    return (date.fromisoformat(built_on) + timedelta(days=round(age))).isoformat()


def _climate(latitude: float | None, built_on: str) -> Climate:
    low, high = usual_air_c(latitude, date.fromisoformat(built_on).month)
    return Climate(celsius=(low + high) / 2)


def _events(history: History, age: int, unturned: bool) -> list[Event]:
    """What was told, and the weekly turns that were asked for: few farmers tell each one."""
    events = [event for each in history if (event := _event(*each[:3])) is not None]
    told = [event.day for event in events if event.kind == "turn"]
    if not unturned:
        for day in range(WEEK, age + 1, WEEK):
            if all(abs(day - other) > NEAR for other in told):
                events.append(weekly_turn(day))
    return sorted(events, key=lambda event: event.day)


def _event(day: float, kind: str, word: Any) -> Event | None:
    if kind == "turned":
        return weekly_turn(day)
    if kind == "watered":
        return Event(day=day, kind="water", until=MOISTURE_TARGET)
    if kind == "rain":
        with suppress(ValueError):
            return Event(day=day, kind="rain", amount=float(word))
    return None


def _readings(history: History) -> list[Reading]:
    """One of each kind a day, the last told: an earlier one that says otherwise was a slip."""
    kept: dict[tuple[float, str], Reading] = {}
    for day, kind, word, celsius in history:
        if kind == "feel" and celsius is not None and -10 <= celsius <= 100:
            kept[day, kind] = Reading(day=day, kind="celsius", value=celsius)
        elif kind in ASKED and word not in (None, "none", "impossible"):
            kept[day, kind] = Reading(day=day, kind=kind, word=_WORDS.get(word, word))
    return list(kept.values())
