"""What the page shows, as JSON-able values: the clock, the record, its cost, what the bot knows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import msgspec
from babel.dates import format_datetime
from babel.numbers import format_currency

from bot import Config, LogEntry

from .knowledge import read_words, sections
from .lines import utc_text
from .script import DEFAULT_PHONE
from .season import Season

PAGE_LANGUAGE = "en"
SHORT = "EEE d MMM, HH:mm"
LONGEST_LIST = 400
"""Messages shown at once; the page says how many older ones it leaves out."""

MADE_UP_CURRENCY = "XTS"
"""The code that ISO 4217 keeps for tests."""

# Segments often cost less than the currency's smallest coin.
_MONEY = "\u00a4\u00a4\u00a0#,##0.00##"
_DRAMA_START = 447700900000
_DRAMA_COUNT = 1000


class Tariff(msgspec.Struct, frozen=True):
    """What one segment costs and where the farmers live.

    price : of one outgoing segment, in units of `currency` (ISO 4217).
    """

    price: Decimal
    currency: str
    zone: ZoneInfo

    def cost(self, segments: int) -> str:
        """The price of so many segments, in words of the page's language."""
        amount = self.price * segments
        return format_currency(amount, self.currency, _MONEY, locale=PAGE_LANGUAGE, currency_digits=False)

    def local(self, moment: datetime, pattern: str) -> str:
        """A moment in the farmers' zone, by a CLDR date pattern."""
        return format_datetime(moment, pattern, tzinfo=self.zone, locale=PAGE_LANGUAGE)


def page_state(season: Season, tariff: Tariff, phone: str) -> dict[str, Any]:
    """All that the page shows when `phone` is in the farmer's hand."""
    record = season.record()
    mine = season.record(phone)
    view = season.knows(phone)
    return {
        "clock": _clock(season, tariff),
        "phone": phone,
        "phones": _phones(record, phone),
        "next_phone": next_free_phone({entry.phone for entry in record} | {phone}),
        "messages": [_message(entry, tariff) for entry in mine[-LONGEST_LIST:]],
        "older": max(0, len(mine) - LONGEST_LIST),
        "totals": _totals(mine, tariff),
        "language": view["farmer"]["language"] if view else None,
        "knows": sections(view, lambda moment: tariff.local(moment, SHORT), PAGE_LANGUAGE),
    }


def _clock(season: Season, tariff: Tariff) -> dict[str, Any]:
    due = season.next_due()
    return {
        "now": utc_text(season.now()),
        "day": tariff.local(season.now(), "EEEE d MMMM y"),
        "time": tariff.local(season.now(), "HH:mm"),
        "next_due": tariff.local(due, "EEEE d MMMM, HH:mm") if due else None,
    }


def _phones(record: Sequence[LogEntry], chosen: str) -> list[dict[str, Any]]:
    """Every phone of the record, in order of first appearance, and the chosen one."""
    received = Counter(entry.phone for entry in record if _arrived(entry))
    known = dict.fromkeys([DEFAULT_PHONE, *(entry.phone for entry in record), chosen])
    return [{"phone": phone, "received": received[phone]} for phone in known]


def next_free_phone(taken: set[str]) -> str | None:
    """The lowest number of the drama range that nobody has; None when all thousand are taken."""
    numbers = (f"+{_DRAMA_START + place}" for place in range(1, _DRAMA_COUNT))
    return next((number for number in numbers if number not in taken), None)


def _arrived(entry: LogEntry) -> bool:
    """Whether a message has reached its phone; after STOP, say, one that waited is dropped."""
    return entry.direction == "out" and entry.state in ("sent", "delivered")


def _message(entry: LogEntry, tariff: Tariff) -> dict[str, Any]:
    return {
        "at": utc_text(entry.at),
        "day": tariff.local(entry.at, "EEEE d MMMM"),
        "when": tariff.local(entry.at, SHORT),
        "inbound": entry.direction == "in",
        "state": None if entry.direction == "in" or _arrived(entry) else entry.state,
        "text": entry.text,
        "segments": entry.segments,
        "encoding": entry.encoding,
        "cost": tariff.cost(entry.segments) if entry.segments is not None else None,
        "why": entry.why,
        "dialogue": entry.dialogue,
        "read": read_words(entry.read) if entry.read else None,
    }


def _totals(entries: Sequence[LogEntry], tariff: Tariff) -> dict[str, Any]:
    sent = [entry for entry in entries if _arrived(entry)]
    segments = sum(entry.segments or 0 for entry in sent)
    return {
        "received": sum(entry.direction == "in" for entry in entries),
        "sent": len(sent),
        "segments": segments,
        "cost": tariff.cost(segments),
        "made_up_money": tariff.currency == MADE_UP_CURRENCY,
    }


def tariff_of(config: Config) -> Tariff:
    """Price and zone as the config states them."""
    return Tariff(Decimal(str(config.price_per_segment)), config.currency, config.timezone())
