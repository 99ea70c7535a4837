"""Does what falls due while the bot serves: a thread that sleeps until the next task, or until it is woken."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Protocol

from bot.clock import Clock
from bot.rounds import Rounds
from bot.store.errors import StoreError

LONGEST_WAIT = timedelta(seconds=60)
"""A change of the machine's clock is noticed this soon."""
RETRY = timedelta(seconds=5)
log = logging.getLogger(__name__)


class Due(Protocol):
    """The bot as the loop sees it."""

    @property
    def clock(self) -> Clock: ...

    def next_due(self) -> datetime | None: ...

    def run_due(self) -> int: ...


class DueLoop:
    """Runs the bot's tasks at their times; `after` is called when some were done (to wake the senders)."""

    def __init__(self, bot: Due, after: Callable[[], None]) -> None:
        self._bot, self._after = bot, after
        self._rounds = Rounds("reminders", self._round)

    def start(self) -> None:
        self._rounds.start()

    def wake(self) -> None:
        """Something new may be due."""
        self._rounds.wake()

    def stop(self, timeout_s: float = 10.0) -> bool:
        """Stop and wait for the end of the thread. False when it has not ended in time."""
        return self._rounds.stop(timeout_s)

    def _round(self) -> timedelta:
        """Do what is due; how long nothing will be to do."""
        try:
            if self._bot.run_due():
                self._after()
            due = self._bot.next_due()
        except StoreError as exc:
            log.warning("reminders: %s; trying again", exc)
            return RETRY
        except Exception:
            log.exception("reminders failed; trying again")
            return RETRY
        if due is None:
            return LONGEST_WAIT
        return min(max(due - self._bot.clock.now(), timedelta(0)), LONGEST_WAIT)
