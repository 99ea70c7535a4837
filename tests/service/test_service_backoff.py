"""Reminders that nobody answers, that were missed, that fall on a market day, and clocks that jump."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from phones import PHONE, Farm

from bot.config import Group

OpenFarm = Callable[..., Farm]


def days_of(here: Farm, why: str = "reminder") -> list[int]:
    """Days after the first of March 2026 on which the phone got something."""
    first = datetime(2026, 3, 1, tzinfo=here.config.timezone())
    return [(e.at.astimezone(here.config.timezone()) - first).days for e in here.sent(why=why)]


def test_unanswered_reminders_come_weekly_then_two_weekly_then_one_last_then_never(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.passes(days=300)
    reminders = here.sent(why="reminder")
    assert days_of(here) == [5, 8, 15, 29, 43]
    assert "this is our last reminder" in reminders[-1].text
    (away,) = [q for q in here.bot.store.questions.open() if q.kind == "away"]
    assert away.farmer_no == 1


def test_a_farmer_who_writes_again_is_reminded_again(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.passes(days=100)
    before = len(here.sent(why="reminder"))
    here.texts("hello")
    here.passes(days=8)
    assert len(here.sent(why="reminder")) == before + 1
    assert not here.bot.turns.talk(1, 1).away


def test_any_answer_begins_the_count_anew(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    for _ in range(3):
        here.passes(days=18)
        here.texts("warm")
    assert not [e for e in here.sent(why="reminder") if "last reminder" in e.text]


def test_an_outage_of_a_day_sends_nothing_stale(farm: OpenFarm) -> None:
    """The first stick check falls into it and is left out; a week's work is set for its next weekday."""
    here = farm()
    here.builds()
    here.clock.move_by(timedelta(days=5, hours=2))  # Saturday 11:00; the check was for Friday
    here.bot.run_due()
    here.bot.send_queued()
    assert not here.sent(why="reminder")
    here.passes(days=1.9)
    assert days_of(here) == [8], "Monday's work comes in its own time"


def test_a_reminder_missed_by_hours_may_come_the_next_morning(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.clock.move_by(timedelta(days=4, hours=2))  # Friday 11:00, after the window
    here.bot.run_due()
    here.passes(days=1)
    assert days_of(here) == [6]


def test_no_reminder_on_market_and_prayer_days(farm: OpenFarm) -> None:
    """2 March 2026 is a Monday; the checks fall on a Friday and on Mondays."""
    group = Group(code="HILL7", name="Green Hill", days_off=("monday", "tuesday"))
    here = farm(groups=(group,), days_off=("friday",))
    here.texts("JOIN HILL7", "English", "Amina", "Green Hill", "yes")
    here.texts("plan 2x2x2", "maize stalks, goat manure", "wheelbarrow", "yes", "done", "all", "done")
    for _ in range(4):
        here.passes(days=7)
        here.texts("warm")
    weekdays = {e.at.astimezone(here.config.timezone()).weekday() for e in here.sent() if e.why != "reply"}
    assert weekdays and not weekdays & {0, 1}, "the group's days stand for the programme's"
    assert 4 in weekdays


def test_two_people_of_one_phone_get_one_message_where_it_fits(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.texts("other person", "Juma", "English", "Upper Field", "yes")
    here.texts("plan 2x2x2", "maize stalks, goat manure", "wheelbarrow", "yes", "done", "all", "done")
    here.passes(days=4)
    (morning,) = here.sent(why="reminder")
    assert morning.text.startswith("Amina") and " Juma" in morning.text and morning.segments == 2


def test_three_piles_cost_one_message(farm: OpenFarm) -> None:
    """The second and third are asked about in short, with their own water, in one message of two SMS."""
    here = farm()
    here.builds()
    here.builds_another()
    here.builds_another()
    here.passes(days=4)
    here.texts("A hot, B hot, C hot")
    here.passes(days=4)
    here.texts("A hot, B hot, C hot")
    here.passes(days=6.5)
    week = here.sent(why="reminder")[-1]
    assert [f"Pile {letter}:" in week.text for letter in "ABC"] == [True, True, True], week.text
    assert week.segments == 2 and "Turn it too" in week.text


def test_what_does_not_fit_comes_the_next_morning_and_never_within_20_hours(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.builds_another()
    here.builds_another()
    here.passes(days=12)
    unasked = [e.at for e in here.sent() if e.why != "reply"]
    assert all(after - before >= timedelta(hours=20) for before, after in pairwise(unasked))
    told = " ".join(e.text for e in here.sent(why="reminder"))
    assert all(f"Pile {letter}:" in told for letter in "ABC")


@pytest.mark.parametrize(
    "back", [timedelta(hours=1), timedelta(hours=19), timedelta(days=1), timedelta(days=400)]
)
def test_a_clock_set_back_repeats_nothing(farm: OpenFarm, back: timedelta) -> None:
    here = farm()
    here.builds()
    here.passes(days=4)
    assert len(here.sent(why="reminder")) == 1
    here.clock.move_by(-back)
    here.passes(hours=3)
    assert len(here.sent(why="reminder")) == 1
    assert here.texts("warm")[0].startswith("Noted.")


@pytest.mark.parametrize("forward", [timedelta(hours=1), timedelta(days=1), timedelta(days=30)])
def test_a_clock_set_forward_sends_no_burst(farm: OpenFarm, forward: timedelta) -> None:
    here = farm()
    here.builds()
    here.passes(days=4)
    here.clock.move_by(forward)
    here.passes(hours=1)
    here.clock.move_by(-forward)
    here.passes(days=20)
    sent = [e.at for e in here.sent() if e.why != "reply"]
    assert len({at.date() for at in sent}) == len(sent) <= 5
    assert here.bot.pile_view(PHONE)["next"], "and the pile is not forgotten"


@pytest.mark.parametrize(
    ("zone", "start"),
    [
        (
            "America/New_York",
            datetime(2028, 2, 25, 14, tzinfo=UTC),
        ),  # 29 February, then the clocks on 12 March
        ("Europe/London", datetime(2026, 10, 20, 9, tzinfo=UTC)),  # back on 25 October
        ("Asia/Beirut", datetime(2026, 3, 25, 9, tzinfo=UTC)),  # forward at midnight on 29 March
        ("Pacific/Apia", datetime(2026, 12, 28, 9, tzinfo=UTC)),
    ],
)
def test_summer_time_and_leap_days_move_no_morning(farm: OpenFarm, zone: str, start: datetime) -> None:
    here = farm(default_timezone=zone)
    here.clock.move_to(start)
    here.builds()
    for _ in range(3):
        here.passes(days=7)
        here.texts("warm")
    local = [e.at.astimezone(here.config.timezone()) for e in here.sent(why="reminder")]
    assert len(local) >= 3
    assert {(at.hour, at.minute) for at in local} == {(7, 0)}
    built = start.astimezone(here.config.timezone()).date()
    assert [(at.date() - built).days for at in local][:3] == [4, 7, 14]
