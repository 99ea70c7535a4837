"""Computations around a season: a pile already built, when to start the next, what to do better."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from bot.advice.caring import WEEKS_TURNED
from bot.advice.field import GOOD_PILE, USUAL_MIX, reach
from bot.compost import hours_of_work, spoken

Result = dict[str, Any]
SPARE_DAYS = 14  # gathering and building; practice
OLDEST_DAYS = 730
TURNS = 7


def day_before(today: str, days: float) -> Result:
    """The day so many days ago; verdict `impossible` for one in the future or too long ago."""
    if not 0 <= days <= OLDEST_DAYS:
        return {"verdict": "impossible", "day": today}
    return {"verdict": "fine", "day": (date.fromisoformat(today) - timedelta(days=round(days))).isoformat()}


def start_by(today: str, weeks: float) -> Result:
    """The day to begin so that compost is ripe when it is needed.

    weeks : until planting. verdict : `fine`; `late` if it should have begun already; `impossible`.
    """
    if not 0 <= weeks <= 104:
        return {"verdict": "impossible", "day": today}
    day = date.fromisoformat(today) + timedelta(days=round(weeks * 7) - WEEKS_TURNED * 7 - SPARE_DAYS)
    late = day < date.fromisoformat(today)
    return {"verdict": "late" if late else "fine", "day": day.isoformat()}


def usual_pile() -> Result:
    """What a usual pile costs in hours and gives, for someone who asks whether it is worth it."""
    found = reach(GOOD_PILE, USUAL_MIX)
    length, width, height = GOOD_PILE
    hours = hours_of_work(length * width * height, TURNS, TURNS)
    return {"size": GOOD_PILE, "hours": spoken(hours), "area": found["area"]}
