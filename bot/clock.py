"""The one place that asks the machine what time it is.

Everything else is handed a Clock, so that tests and the simulator can live through a season in a second.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Protocol


class Clock(Protocol):
    """Tells the time in UTC, with its zone attached."""

    def now(self) -> datetime: ...


class SystemClock:
    """The machine's own clock."""

    def now(self) -> datetime:
        return datetime.now(UTC)


class HandClock:
    """A clock that moves only when told to.

    start : first time shown; must carry a zone, else ValueError.
    """

    def __init__(self, start: datetime) -> None:
        if start.tzinfo is None:
            raise ValueError(f"the clock needs a time with a zone, not {start!r}")
        self._now = start.astimezone(UTC)

    def now(self) -> datetime:
        return self._now

    def move_to(self, moment: datetime) -> None:
        """Set the clock; it may be set back, as real clocks are."""
        self._now = moment.astimezone(UTC)

    def move_by(self, span: timedelta) -> None:
        self.move_to(self._now + span)
