"""At what moment something may be sent: mornings by the farmer's own clock, never at night."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo


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


def allowed(now: datetime, zone: ZoneInfo, opens: time, closes: time) -> bool:
    """Whether the farmer's clock stands in the sending window."""
    return opens <= now.astimezone(zone).time() < closes


def next_allowed(now: datetime, zone: ZoneInfo, opens: time, closes: time) -> datetime:
    """`now` if it lies in the window, else the next time the window opens, in UTC."""
    if allowed(now, zone, opens, closes):
        return now
    later_today = now.astimezone(zone).time() < opens
    return morning_in(0 if later_today else 1, now, zone, opens)
