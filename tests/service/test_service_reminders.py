"""Reminders of the real bot: mornings only, far enough apart, none after STOP, no flood after an outage."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from phones import PHONE, Farm

OpenFarm = Callable[..., Farm]
ZONES = ["Africa/Nairobi", "Asia/Kathmandu", "America/New_York", "Pacific/Kiritimati", "Pacific/Pago_Pago"]


@pytest.mark.parametrize("zone", ZONES)
def test_what_nobody_asked_for_comes_in_the_morning_only_and_20_hours_apart(
    farm: OpenFarm, zone: str
) -> None:
    """From 2 March, so over the change of the clocks in New York on 8 March 2026."""
    here = farm(default_timezone=zone)
    here.builds()
    for _ in range(10):
        here.passes(days=7)
        here.texts("warm")
    unasked = [entry for entry in here.sent() if entry.why != "reply"]
    reminders = [entry.at for entry in unasked if entry.why == "reminder"]
    assert len(reminders) >= 6
    for entry in unasked:
        local = entry.at.astimezone(ZoneInfo(zone)).time()
        assert here.config.reminder_hours.holds(local), (entry.text, local)
    assert all(after - before >= timedelta(hours=20) for before, after in pairwise(reminders))


def test_after_stop_nothing_comes_until_start(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.texts("STOP")
    so_far = len(here.sent())
    here.passes(days=30)
    assert len(here.sent()) == so_far
    assert not [
        entry for entry in here.log() if entry.why != "reply" and entry.state in ("queued", "sending")
    ]
    here.texts("START")
    here.passes(days=9)
    assert here.sent(why="reminder"), "the weekly reminder begins again"


def test_three_weeks_of_outage_are_not_made_up_for_in_a_burst(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.clock.move_by(timedelta(days=21, hours=-1))  # nothing runs; up again at 08:00
    here.bot.run_due()
    here.bot.send_queued()
    assert len([entry for entry in here.sent() if entry.why != "reply"]) == 1
    here.passes(days=3)
    days = [entry.at.date() for entry in here.sent() if entry.why != "reply"]
    assert len(days) == len(set(days)) <= 3


def test_up_again_at_night_sends_nothing_before_a_morning_of_its_own(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.clock.move_by(timedelta(days=21, hours=14))  # 23:00 of the day for the third weekly reminder
    assert here.bot.run_due() > 0
    here.bot.send_queued()
    assert not here.sent(why="reminder")
    here.passes(days=6)
    assert not here.sent(why="reminder"), "what was missed is left out"
    here.passes(days=1)
    assert [entry.dialogue for entry in here.sent(why="reminder")] == ["care"]


def test_a_gateway_that_is_down_all_morning_does_not_send_at_night(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.waits_for_something_unasked()
    here.clock.move_by(timedelta(hours=15))
    here.bot.send_queued()
    assert not here.sent(why="reminder")
    assert [entry.state for entry in here.log() if entry.why == "reminder"] == ["dropped"]


def test_a_notice_is_not_sent_at_night_either(farm: OpenFarm) -> None:
    here = farm()
    here.joins()
    here.texts("plan 2x2x2")
    here.waits_for_something_unasked()
    here.clock.move_by(timedelta(hours=15))
    here.bot.send_queued()
    assert [entry.state for entry in here.log() if entry.why == "notice"] == ["dropped"]


def test_rain_of_the_week_drops_the_watering(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.passes(days=5)
    here.bot.report_rain(60)
    here.passes(days=3)
    last = here.sent(why="reminder")[-1]
    assert last.dialogue == "care" and "pour on" not in last.text
    here.passes(days=8)
    assert "pour on" in here.sent(why="reminder")[-1].text


def test_two_farmers_in_two_phones_have_their_own_times(farm: OpenFarm) -> None:
    here = farm()
    other = "+447700900002"
    here.builds()
    here.passes(days=2)
    here.builds(other)
    here.passes(days=9)
    mine, theirs = ([e.at for e in here.sent(p, "reminder")] for p in (PHONE, other))
    assert theirs[0] - mine[0] == timedelta(days=2)
