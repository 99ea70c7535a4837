"""Time that moves by hand: what falls due is opened in order, each at its own time."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from bot import HandClock, Inbound, LogEntry, SimulatedGateway
from simulator.season import Season, StuckError

MONDAY = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)
DAY = timedelta(days=1)


class DueBot:
    """Stands in for the bot's timing: opens what is due, and may make another due, as dialogues do."""

    def __init__(self, clock: HandClock, due: list[datetime], again: timedelta | None = None) -> None:
        self.clock = clock
        self.due = due
        self.again = again
        self.calls: list[tuple[str, datetime]] = []

    def next_due(self) -> datetime | None:
        return min(self.due, default=None)

    def run_due(self) -> int:
        now = self.clock.now()
        ripe = [moment for moment in self.due if moment <= now]
        self.due = [moment for moment in self.due if moment > now]
        if ripe and self.again:
            self.due.append(now + self.again)
        self.calls.append(("open", now))
        return len(ripe)

    def send_queued(self) -> int:
        self.calls.append(("send", self.clock.now()))
        return 0

    def transcript(self) -> list[LogEntry]:
        return []

    def receive(self, inbound: Inbound) -> None:
        self.calls.append((f"{inbound.gateway} {inbound.phone} {inbound.text}", inbound.sent_at or MONDAY))

    def report_rain(self, mm: float, place: str | None = None) -> None:
        self.calls.append((f"rain {mm} {place}", self.clock.now()))


def lived(*due: datetime, again: timedelta | None = None) -> tuple[Season, DueBot]:
    clock = HandClock(MONDAY)
    bot = DueBot(clock, list(due), again)
    untyped: Any = bot
    return Season(untyped, clock, SimulatedGateway()), bot


def opened(bot: DueBot) -> list[datetime]:
    return [moment for call, moment in bot.calls if call == "open"]


def test_the_clock_stops_at_each_due_moment_in_order() -> None:
    season, bot = lived(MONDAY + 3 * DAY, MONDAY + DAY, MONDAY + 9 * DAY)
    season.move(7 * DAY)
    assert opened(bot) == [MONDAY + DAY, MONDAY + 3 * DAY]
    assert season.now() == MONDAY + 7 * DAY


def test_what_becomes_due_on_the_way_is_opened_too() -> None:
    season, bot = lived(MONDAY + DAY, again=2 * DAY)
    season.move(6 * DAY)
    assert opened(bot) == [MONDAY + DAY, MONDAY + 3 * DAY, MONDAY + 5 * DAY]


def test_what_is_due_at_the_very_end_is_opened() -> None:
    season, bot = lived(MONDAY + 7 * DAY)
    season.move(7 * DAY)
    assert opened(bot) == [MONDAY + 7 * DAY]


def test_what_is_overdue_is_opened_now_and_not_in_the_past() -> None:
    season, bot = lived(MONDAY - DAY)
    season.move(timedelta(0))
    assert opened(bot) == [MONDAY]


def test_each_opening_is_sent_before_time_goes_on() -> None:
    season, bot = lived(MONDAY + DAY, MONDAY + 2 * DAY)
    season.move(2 * DAY)
    assert [call for call, _ in bot.calls] == ["open", "send", "open", "send", "send"]


def test_to_the_next_reminder_and_no_further() -> None:
    season, bot = lived(MONDAY + DAY, MONDAY + 2 * DAY)
    season.move_to_next()
    assert season.now() == MONDAY + DAY
    assert opened(bot) == [MONDAY + DAY]


def test_to_the_next_reminder_when_none_waits() -> None:
    season, bot = lived()
    season.move_to_next()
    assert season.now() == MONDAY
    assert bot.calls == []


def test_a_reminder_that_stays_due_is_reported_and_not_tried_for_ever() -> None:
    season, bot = lived(MONDAY + DAY)
    bot.run_due = lambda: 0  # type: ignore[method-assign]
    with pytest.raises(StuckError, match="2026-03-03T06:00:00"):
        season.move(7 * DAY)


def test_texts_and_rain_reach_the_bot_and_the_answer_goes_out() -> None:
    season, bot = lived()
    season.say("+447700900002", "hi")
    season.rain(12.5, "Kivuli")
    assert bot.calls == [
        ("simulated +447700900002 hi", MONDAY),
        ("send", MONDAY),
        ("rain 12.5 Kivuli", MONDAY),
        ("send", MONDAY),
    ]
