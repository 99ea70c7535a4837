"""When something may be sent, by the farmer's own clock: everywhere, over changes of the clock, on a leap day."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.reminders.timing import allowed, local_day, morning_in, next_allowed

OPENS, CLOSES = time(7, 0), time(9, 30)
ZONES = (
    "Etc/GMT-3 Africa/Nairobi Africa/Cairo Africa/Casablanca Asia/Kathmandu Asia/Kolkata America/St_Johns "
    "America/New_York America/Santiago Pacific/Kiritimati Pacific/Pago_Pago Pacific/Chatham Australia/Lord_Howe "
    "Europe/London Asia/Gaza UTC"
).split()
MOMENTS = st.datetimes(datetime(2024, 1, 1), datetime(2030, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001


@pytest.mark.parametrize("name", ZONES)
def test_a_morning_is_a_morning_on_the_right_day_everywhere(name: str) -> None:
    zone = ZoneInfo(name)

    @settings(max_examples=40, deadline=None)
    @given(MOMENTS, st.integers(0, 70))
    def holds(now: datetime, days: int) -> None:
        due = morning_in(days, now, zone, OPENS)
        assert due.utcoffset() == timedelta(0)
        local = due.astimezone(zone)
        assert (local.date(), local.time()) == (local_day(now, zone) + timedelta(days=days), OPENS)
        assert allowed(due, zone, OPENS, CLOSES)

    holds()


@pytest.mark.parametrize("name", ZONES)
def test_the_next_allowed_moment_is_in_the_window_and_within_a_day(name: str) -> None:
    zone = ZoneInfo(name)

    @settings(max_examples=40, deadline=None)
    @given(MOMENTS)
    def holds(now: datetime) -> None:
        then = next_allowed(now, zone, OPENS, CLOSES)
        assert then >= now and then - now <= timedelta(hours=25)
        assert allowed(then, zone, OPENS, CLOSES)
        assert OPENS <= then.astimezone(zone).time() < CLOSES

    holds()


@pytest.mark.parametrize(
    ("zone", "now", "utc_hour"),
    [  # rules of the IANA time zone database
        ("Europe/London", datetime(2026, 3, 28, 12, tzinfo=UTC), 6),  # clocks forward on 29 March 2026
        ("Europe/London", datetime(2026, 3, 27, 12, tzinfo=UTC), 7),
        ("Europe/London", datetime(2026, 10, 24, 12, tzinfo=UTC), 7),  # back on 25 October 2026
        ("America/New_York", datetime(2026, 3, 7, 18, tzinfo=UTC), 11),  # forward on 8 March 2026
        ("America/New_York", datetime(2026, 10, 31, 18, tzinfo=UTC), 12),  # back on 1 November 2026
        ("Africa/Nairobi", datetime(2026, 3, 28, 12, tzinfo=UTC), 4),
    ],
)
def test_the_morning_after_the_clocks_change(zone: str, now: datetime, utc_hour: int) -> None:
    assert morning_in(1, now, ZoneInfo(zone), OPENS).hour == utc_hour


def test_a_morning_that_the_clocks_skip_falls_to_the_next_moment_that_exists() -> None:
    zone = ZoneInfo("America/New_York")  # 02:30 of 8 March 2026 does not exist
    due = morning_in(1, datetime(2026, 3, 7, 18, tzinfo=UTC), zone, time(2, 30))
    assert due.astimezone(zone).replace(tzinfo=None) == datetime(2026, 3, 8, 3, 30)  # noqa: DTZ001


def test_a_leap_day_is_a_day_like_others() -> None:
    zone = ZoneInfo("Africa/Nairobi")
    now = datetime(2028, 2, 22, 9, tzinfo=UTC)
    assert local_day(morning_in(7, now, zone, OPENS), zone) == date(2028, 2, 29)
    assert local_day(morning_in(8, now, zone, OPENS), zone) == date(2028, 3, 1)


@pytest.mark.parametrize(
    ("local", "inside"),
    [
        ("06:59", False),
        ("07:00", True),
        ("09:29", True),
        ("09:30", False),
        ("00:00", False),
        ("23:59", False),
    ],
)
def test_the_window_opens_at_its_start_and_closes_at_its_end(local: str, inside: bool) -> None:
    zone = ZoneInfo("Asia/Kathmandu")  # UTC+05:45
    now = datetime.combine(date(2026, 3, 2), time.fromisoformat(local), tzinfo=zone)
    assert allowed(now.astimezone(UTC), zone, OPENS, CLOSES) is inside


def test_days_off_are_passed_over() -> None:
    """2 March 2026 is a Monday."""
    zone, opens, closes = ZoneInfo("Africa/Nairobi"), time(7), time(9, 30)
    monday = datetime(2026, 3, 2, 8, tzinfo=zone)
    assert allowed(monday, zone, opens, closes, {1}) and not allowed(monday, zone, opens, closes, {0})
    assert next_allowed(monday, zone, opens, closes, {0, 1}) == datetime(2026, 3, 4, 7, tzinfo=zone)
    with pytest.raises(ValueError, match="no day of the week"):
        next_allowed(monday, zone, opens, closes, set(range(7)))


def test_the_29th_of_february_is_a_day_like_others() -> None:
    zone = ZoneInfo("Africa/Nairobi")
    assert morning_in(1, datetime(2028, 2, 28, 12, tzinfo=zone), zone, time(7)) == datetime(
        2028, 2, 29, 7, tzinfo=zone
    )
    assert morning_in(1, datetime(2026, 2, 28, 12, tzinfo=zone), zone, time(7)) == datetime(
        2026, 3, 1, 7, tzinfo=zone
    )
