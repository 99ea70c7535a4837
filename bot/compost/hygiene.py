"""What heat has been proven, and how long to wait where it has not.

A heap that is turned by hand is a windrow in the sense of the rules. A farmer with a stick can show that it
was hot, not that it was above 55 C: this module never calls that proof.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import msgspec

from .errors import BadReading, CannotReach, check_range

HygieneMethod = Literal["windrow", "static_aerated", "vessel", "unaerated"]
Evidence = Literal["thermometer", "stick", "none"]
Lack = Literal["no_thermometer", "too_few_hot_days", "too_few_turns", "no_such_rule"]

HOT_C = 55.0  # [C] 131 F, 7 CFR 205.203(c)(2), published
HOTTEST_C = (170 - 32) / 1.8  # [C] 170 F, the same; above it the days do not count
WINDROW_DAYS, WINDROW_TURNS = 15, 5  # [d], [-] 7 CFR 205.203(c)(2)(iii), published
VESSEL_DAYS = 3  # [d] 7 CFR 205.203(c)(2)(ii), published
WAIT_TOUCHING_SOIL_D = 120  # [d] 7 CFR 205.203(c)(1)(ii), published
WAIT_ABOVE_SOIL_D = 90  # [d] 7 CFR 205.203(c)(1)(iii), published


class CoreReading(msgspec.Struct, frozen=True):
    """Temperature at the core on a day since building. [d], [C]"""

    day: float
    celsius: float


class Hygiene(msgspec.Struct, frozen=True):
    """Days on which heat was shown, turns in that time, whether the rule is met, and what is lacking.

    The waits are from spreading to harvest of food that touches the soil and of other food; 0 where proven.
    [d]
    """

    hot_days: int
    turns: int
    proven: bool
    lacks: tuple[Lack, ...]
    wait_touching_soil_d: int
    wait_above_soil_d: int


def celsius(fahrenheit: float) -> float:
    """Degrees Celsius.

    fahrenheit : -100 to 1000. [F] Returns the temperature. [C]
    Raises OutOfRange. Source: definition.

    >>> celsius(131)
    55.0
    """
    return (check_range("fahrenheit", fahrenheit, -100, 1000, "F") - 32) / 1.8


def judge_hygiene(
    readings: Sequence[CoreReading],
    turned_on: Sequence[float],
    *,
    today: float,
    method: HygieneMethod = "windrow",
    evidence: Evidence = "thermometer",
) -> Hygiene:
    """Whether the heat of a heap satisfies the rules for compost that may be spread without a wait.

    readings : at the core. [d], [C] turned_on : days on which it was turned. [d] today : age of the heap. [d]
    method : windrow for a heap turned by hand; an unaerated heap that is never turned has no rule.
    evidence : thermometer, or stick (whose readings show heat but prove nothing).
    Returns the verdict.
    Raises OutOfRange, BadReading for a reading or turn that lies in the future.
    Source: 7 CFR 205.203(c); 40 CFR 257 appendix II (published) and 40 CFR 503 appendix B (from memory) have
    the same times. A day counts when a reading of that day lies in 55 to 76.7 C, and days between two such
    readings at most 2 days apart count with them (estimate).
    """
    for reading in readings:
        check_range("celsius", reading.celsius, -30, 100, "C")
        _check_day("reading", reading.day, today)
    for day in turned_on:
        _check_day("turned", day, today)
    days = _hot_days(readings)
    turns = len({int(day) for day in turned_on if days and min(days) <= int(day) <= max(days)})
    need_days, need_turns = (WINDROW_DAYS, WINDROW_TURNS) if method == "windrow" else (VESSEL_DAYS, 0)
    lacks: list[Lack] = []
    if method == "unaerated":
        lacks.append("no_such_rule")
    if evidence != "thermometer":
        lacks.append("no_thermometer")
    if len(days) < need_days:
        lacks.append("too_few_hot_days")
    if turns < need_turns:
        lacks.append("too_few_turns")
    proven = not lacks
    return Hygiene(
        hot_days=len(days),
        turns=turns,
        proven=proven,
        lacks=tuple(lacks),
        wait_touching_soil_d=0 if proven else WAIT_TOUCHING_SOIL_D,
        wait_above_soil_d=0 if proven else WAIT_ABOVE_SOIL_D,
    )


def heat_treatment_days(temperature_c: float) -> float:
    """Days at a temperature that kill germs in sludge of at least 7 % solids.

    temperature_c : 50 to 80. [C] Returns the time. [d]
    Raises OutOfRange below 50 C, CannotReach where the time would be under 20 minutes, for which the rule is
    another.
    Source: 131,700,000 / 10^(0.1400 t), 40 CFR 503.32(a)(3), from memory. For sludge held evenly at that
    heat: a comparison, not advice.

    >>> round(heat_treatment_days(55), 2)
    2.63
    """
    check_range("temperature_c", temperature_c, 50, 80, "C")
    days = float(131_700_000 / 10 ** (0.1400 * temperature_c))
    if days < 20 / 60 / 24:
        raise CannotReach("heat_treatment", "under_20_minutes")
    return days


def _hot_days(readings: Sequence[CoreReading]) -> set[int]:
    hot = sorted({int(r.day) for r in readings if HOT_C <= r.celsius <= HOTTEST_C + 1e-9})
    cool = {int(r.day) for r in readings if r.celsius < HOT_C}
    days = set(hot)
    for first, second in zip(hot, hot[1:], strict=False):
        if second - first == 2:
            days.add(first + 1)
    return days - cool


def _check_day(name: str, day: float, today: float) -> None:
    check_range("day", day, 0, 3650, "d")
    if day > today + 1e-9:
        raise BadReading(name, "in_the_future")
