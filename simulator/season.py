"""A season lived by hand: the bot, a clock that moves when told to, and phones that text at once."""

from __future__ import annotations

from datetime import datetime, timedelta
from types import TracebackType
from typing import Any

from bot import Bot, HandClock, Inbound, LogEntry, Outgoing, SimulatedGateway


class StuckError(RuntimeError):
    """A reminder stayed due although it was opened: a fault of the bot, not of the script."""


class Season:
    """Drives one bot. After every step the outbox is drained, so that answers are there at once.

    Not safe for threads: the page guards it with a lock.
    """

    def __init__(self, bot: Bot, clock: HandClock, gateway: SimulatedGateway) -> None:
        self._bot = bot
        self._clock = clock
        self._gateway = gateway
        self._told = 0
        self._texts = len(bot.transcript())

    def __enter__(self) -> Season:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._bot.close()

    def now(self) -> datetime:
        return self._clock.now()

    def next_due(self) -> datetime | None:
        """When the next reminder may go out, if any waits."""
        return self._bot.next_due()

    def say(self, phone: str, text: str) -> None:
        """A farmer sends a text and the bot answers."""
        # A farmer may write the same twice in a minute; only a message id tells that from a repeated delivery.
        self._texts += 1
        name = f"{self.now():%Y%m%dT%H%M%S}-{self._texts}"
        inbound = Inbound(
            gateway=self._gateway.name, phone=phone, text=text, gateway_id=name, sent_at=self.now()
        )
        self._bot.receive(inbound)
        self._bot.send_queued()

    def move(self, span: timedelta) -> None:
        """Let time pass, stopping at each moment when something falls due, in order.

        Raises StuckError when the bot says that something is due but does not open it.
        """
        target = self.now() + span
        while (due := self._bot.next_due()) is not None and due <= target:
            self._open_due(max(due, self.now()))
        self._clock.move_to(target)
        self._bot.send_queued()

    def move_to_next(self) -> None:
        """Let time pass up to the next reminder; when none waits, nothing happens."""
        due = self._bot.next_due()
        if due is not None:
            self.move(max(due - self.now(), timedelta(0)))

    def _open_due(self, moment: datetime) -> None:
        self._clock.move_to(moment)
        opened = self._bot.run_due()
        self._bot.send_queued()
        due = self._bot.next_due()
        if not opened and due is not None and due <= moment:
            raise StuckError(f"a reminder due at {due.isoformat()} was not opened at {moment.isoformat()}")

    def rain(self, mm: float, place: str | None = None) -> None:
        """The weather reports rain. [mm]"""
        self._bot.report_rain(mm, place)
        self._bot.send_queued()

    def news(self) -> list[Outgoing]:
        """What has reached the phones since the last call, in the order of arrival."""
        fresh = self._gateway.sent[self._told :]
        self._told += len(fresh)
        return fresh

    def record(self, phone: str | None = None) -> list[LogEntry]:
        """Every message so far: of one phone in the order of the talk, of all by time."""
        return self._bot.transcript(phone)

    def knows(self, phone: str) -> dict[str, Any]:
        """What the bot knows of a phone's farmer and piles."""
        return self._bot.pile_view(phone)
