"""A bot with farmers who text it."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from bot import Config, HandClock, Inbound, LogEntry, Receipt, SimulatedGateway, open_bot

PHONE = "+447700900001"
MONDAY = datetime(2026, 3, 2, 9, 0)  # noqa: DTZ001 - in the farmers' zone, set below


class Farm:
    """`texts` sends and returns the answers; `passes` lets time go by as a running bot would live it."""

    def __init__(self, database: Path, **settings: Any) -> None:
        self.config = Config(database=str(database), **settings)
        self.clock = HandClock(MONDAY.replace(tzinfo=self.config.timezone()))
        self.bot = open_bot(self.config, self.clock, [SimulatedGateway()])
        self.count = 0

    def inbound(self, text: str, phone: str = PHONE, **more: Any) -> Inbound:
        self.count += 1
        fields: dict[str, Any] = {"gateway_id": f"id-{self.count}", "sent_at": self.clock.now(), **more}
        return Inbound(gateway="simulated", phone=phone, text=text, **fields)

    def receive(self, text: str, phone: str = PHONE, **more: Any) -> Receipt:
        return self.bot.receive(self.inbound(text, phone, **more))

    def texts(self, *texts: str, phone: str = PHONE) -> list[str]:
        """The answers to the last of the texts."""
        before = 0
        for text in texts:
            before = len(self.sent(phone))
            self.receive(text, phone)
            self.bot.send_queued()
        return [entry.text for entry in self.sent(phone)[before:]]

    def joins(self, phone: str = PHONE) -> None:
        self.texts("JOIN", "English", "Amina", "Green Hill", "yes", phone=phone)

    def builds(self, phone: str = PHONE) -> None:
        self.joins(phone)
        says = self.texts(
            "plan 2x2x2",
            "maize stalks, goat manure",
            "wheelbarrow",
            "yes",
            "done",
            "all",
            "done",
            phone=phone,
        )
        assert says and says[-1].startswith("Well done"), says

    def builds_another(self, phone: str = PHONE) -> None:
        says = self.texts(
            "plan 1.5x1.5x1.5", "maize stalks, goat manure", "yes", "done", "all", "done", phone=phone
        )  # fmt: skip
        assert says and "Well done" in says[-1], says

    @staticmethod
    def days(number: float) -> timedelta:
        return timedelta(days=number)

    def passes(self, **span: float) -> None:
        target = self.clock.now() + timedelta(**span)
        while (due := self.bot.next_due()) is not None and due <= target:
            self.clock.move_to(max(due, self.clock.now()))
            assert self.bot.run_due()
            self.bot.send_queued()
        self.clock.move_to(target)

    def waits_for_something_unasked(self) -> None:
        """Lets time pass until a message nobody asked for stands in the outbox; nothing is sent."""
        while not [entry for entry in self.log() if entry.state == "queued"]:
            due = self.bot.next_due()
            assert due is not None, "nothing more is planned"
            self.clock.move_to(due)
            self.bot.run_due()

    def log(self, phone: str = PHONE) -> list[LogEntry]:
        return self.bot.transcript(phone)

    def sent(self, phone: str = PHONE, why: str | None = None) -> list[LogEntry]:
        """What has reached the phone."""
        out = [
            entry
            for entry in self.log(phone)
            if entry.direction == "out" and entry.state in ("sent", "delivered")
        ]
        return [entry for entry in out if why is None or entry.why == why]
