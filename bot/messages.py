"""The shapes that pass between gateways, web, service, store and simulator."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Literal

import msgspec

Why = Literal["reply", "reminder", "notice"]
Encoding = Literal["GSM-7", "UCS-2"]


class Inbound(msgspec.Struct, frozen=True, kw_only=True):
    """A text as a gateway delivered it. `phone` is E.164; times are UTC with their zone."""

    gateway: str
    phone: str
    text: str
    gateway_id: str | None = None
    sent_at: datetime | None = None


class Receipt(msgspec.Struct, frozen=True, kw_only=True):
    """What became of an inbound text. `repeated`: it had been taken before and nothing was done."""

    line_id: int
    in_no: int
    repeated: bool


class Outgoing(msgspec.Struct, frozen=True, kw_only=True):
    """A message in the outbox. `reference` never changes, so that a gateway can drop a repeat."""

    line_id: int
    out_no: int
    reference: str
    gateway: str
    phone: str
    text: str
    segments: int
    encoding: Encoding
    why: Why
    dialogue: str | None = None
    step: str | None = None
    queued_at: datetime
    attempts: int = 0


class LogEntry(msgspec.Struct, frozen=True, kw_only=True):
    """One message of the record, inbound (`read` set) or outgoing (`segments` ... set), in order."""

    at: datetime
    direction: Literal["in", "out"]
    phone: str
    text: str
    segments: int | None = None
    encoding: Encoding | None = None
    why: Why | None = None
    dialogue: str | None = None
    state: str | None = None
    read: dict[str, Any] | None = None
