"""At what moment something may be sent: mornings by the farmer's own clock, never at night or on a day off."""

from __future__ import annotations

from collections.abc import Collection
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

NO_DAYS: frozenset[int] = frozenset()


def local_day(now: datetime, zone: ZoneInfo) -> date:
    """The farmer's calendar day."""
    return now.astimezone(zone).date()


def morning_in(days: int, now: datetime, zone: ZoneInfo, opens: time) -> datetime:
    """The morning of the day that is `days` from now, in UTC.

    opens : local time at which the sending window opens. A morning that does not exist (clocks put forward)
    falls to the next moment that does.
    """
    day = local_day(now, zone) + timedelta(days=days)
    return datetime.combine(day, opens, tzinfo=zone).astimezone(UTC)


def allowed(
    now: datetime, zone: ZoneInfo, opens: time, closes: time, days_off: Collection[int] = NO_DAYS
) -> bool:
    """Whether the farmer's clock stands in the sending window of a day that is not off.

    days_off : days of the week without reminders, Monday 0 to Sunday 6.
    """
    here = now.astimezone(zone)
    return opens <= here.time() < closes and here.weekday() not in days_off


def next_allowed(
    now: datetime, zone: ZoneInfo, opens: time, closes: time, days_off: Collection[int] = NO_DAYS
) -> datetime:
    """`now` if something may be sent, else the next time the window opens on a day that is not off, in UTC."""
    if allowed(now, zone, opens, closes, days_off):
        return now
    later_today = now.astimezone(zone).time() < opens
    return day_after(morning_in(0 if later_today else 1, now, zone, opens), zone, opens, days_off)


def day_after(morning: datetime, zone: ZoneInfo, opens: time, days_off: Collection[int]) -> datetime:
    """The morning given, or the first after it on a day that is not off. Raises ValueError if all days are."""
    if len(set(days_off)) >= 7:
        raise ValueError("no day of the week is left for reminders")
    while morning.astimezone(zone).weekday() in days_off:
        morning = morning_in(1, morning, zone, opens)
    return morning
