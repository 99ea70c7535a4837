"""The thread that works in rounds: woken at once, stopped in time; a fault in a round of reminders does not end it."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta

from bot.clock import Clock, HandClock
from bot.reminders.loop import RETRY, DueLoop
from bot.rounds import Rounds
from bot.store import StoreBusy

LONG = timedelta(hours=1)
WAIT_S = 10


def test_a_round_follows_when_woken_and_none_after_stop() -> None:
    done = threading.Semaphore(0)

    def work() -> timedelta:
        done.release()
        return LONG

    rounds = Rounds("test", work)
    rounds.start()
    assert done.acquire(timeout=WAIT_S)
    rounds.wake()
    assert done.acquire(timeout=WAIT_S), "it slept for an hour otherwise"
    assert rounds.stop(WAIT_S)
    rounds.wake()
    assert not done.acquire(blocking=False)


def test_a_thread_that_never_started_has_stopped() -> None:
    assert Rounds("test", lambda: LONG).stop(0)


class Due:
    """A bot whose first round fails."""

    def __init__(self, fault: Exception) -> None:
        self.clock: Clock = HandClock(datetime(2026, 3, 2, tzinfo=UTC))
        self.faults = [fault]

    def next_due(self) -> datetime | None:
        return self.clock.now() + timedelta(seconds=20)

    def run_due(self) -> int:
        if self.faults:
            raise self.faults.pop()
        return 1


def test_a_fault_is_tried_again_soon_and_what_was_done_wakes_the_senders() -> None:
    for fault in (StoreBusy("locked"), LookupError("a fault of ours")):
        woken: list[int] = []
        loop = DueLoop(Due(fault), lambda woken=woken: woken.append(1))  # type: ignore[misc]
        assert loop._round() == RETRY and not woken
        assert loop._round() == timedelta(seconds=20) and woken == [1]
