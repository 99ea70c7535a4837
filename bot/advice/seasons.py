"""Computations around a season: a pile already built, when to start the next, what to do better."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from bot.advice.caring import WEEKS_TURNED
from bot.advice.field import reach
from bot.compost import hours_of_work, spoken

Result = dict[str, Any]
MONTHS_UNTURNED = 9  # practice: never turned, 6 to 12 months
SPARE_DAYS = 14  # gathering and building; practice
OLDEST_DAYS = 730
PILE = [2.0, 2.0, 2.0]
TURNS = 7
USUAL_MIX = {
    "known": [
        {"material": "maize_stalks", "amount": None, "measure": None},
        {"material": "cattle_manure", "amount": None, "measure": None},
    ]
}


def day_before(today: str, days: float) -> Result:
    """The day so many days ago; verdict `impossible` for one in the future or too long ago."""
    if not 0 <= days <= OLDEST_DAYS:
        return {"verdict": "impossible", "day": today}
    return {"verdict": "fine", "day": (date.fromisoformat(today) - timedelta(days=round(days))).isoformat()}


def start_by(today: str, weeks: float, turning: str | None = None) -> Result:
    """The day to begin so that compost is ripe when it is needed.

    weeks : until planting. verdict : `fine`; `late` if it should have begun already; `impossible`.
    """
    if not 0 <= weeks <= 104:
        return {"verdict": "impossible", "day": today}
    takes = MONTHS_UNTURNED * 30 if turning == "no" else WEEKS_TURNED * 7
    day = date.fromisoformat(today) + timedelta(days=round(weeks * 7) - takes - SPARE_DAYS)
    late = day < date.fromisoformat(today)
    return {"verdict": "late" if late else "fine", "day": day.isoformat()}


def usual_pile() -> Result:
    """What a usual pile costs in hours and gives, for someone who asks whether it is worth it."""
    found = reach(PILE, USUAL_MIX)
    length, width, height = PILE
    hours = hours_of_work(length * width * height, TURNS, TURNS)
    return {"size": PILE, "hours": spoken(hours), "compost": found["compost"], "area": found["area"]}
