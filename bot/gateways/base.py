"""What every gateway is to the rest of the bot, and what can go wrong with one.

GatewayError
  GatewayDown     nothing was taken; try again later
  GatewayRefused  this message will never be taken
  GatewayUnsure   no answer came: it may have been taken or not
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Literal, Protocol

import msgspec

from ..messages import Inbound, Outgoing


class GatewayError(Exception):
    """A message did not go the normal way. The text is for the operator and holds no secret."""


class GatewayDown(GatewayError):
    """The gateway surely did not take the message. `retry_after`: how long it asks to be left alone."""

    def __init__(self, reason: str, retry_after: timedelta | None = None) -> None:
        super().__init__(reason)
        self.retry_after = retry_after


class GatewayRefused(GatewayError):
    """The gateway will never take this message (a barred number, say)."""


class GatewayUnsure(GatewayError):
    """The request went out and no answer that can be understood came back."""


class SendResult(msgspec.Struct, frozen=True):
    """What a gateway answered: its own name for the message, if it gave one."""

    gateway_ref: str | None = None


class Gateway(Protocol):
    """A way to phones. `drops_repeats`: of two messages with one reference it sends only the first.

    `chat`: messages may be long and hold any letter, and nobody pays by the segment.
    """

    @property
    def name(self) -> str: ...

    @property
    def drops_repeats(self) -> bool: ...

    @property
    def chat(self) -> bool: ...

    def send(self, message: Outgoing) -> SendResult:
        """Hand a message over. Raises GatewayDown, GatewayRefused or GatewayUnsure."""
        ...


class Call(msgspec.Struct, frozen=True, kw_only=True):
    """An HTTP request as it came in, free of any web framework. Header names are in lower case."""

    headers: dict[str, str] = {}
    query: dict[str, str] = {}
    form: dict[str, str] = {}
    body: bytes = b""


class DeliveryReceipt(msgspec.Struct, frozen=True, kw_only=True):
    """What a gateway says became of a message, named by our reference or by its own."""

    outcome: Literal["delivered", "failed"]
    reference: str | None = None
    gateway_ref: str | None = None
    reason: str | None = None


class BadCall(ValueError):
    """A request that cannot be read; the text says which field and why, and holds none of its content."""


class BadSignature(BadCall):
    """The shared secret or the signature is wrong, or missing (`missing`)."""

    def __init__(self, reason: str, *, missing: bool) -> None:
        super().__init__(reason)
        self.missing = missing


class Webhook(Protocol):
    """A gateway that calls us. Both raise BadCall, or BadSignature before anything else is looked at."""

    @property
    def name(self) -> str: ...

    def read_message(self, call: Call, now: datetime) -> Inbound: ...

    def read_receipt(self, call: Call) -> DeliveryReceipt | None:
        """None for a state in between, which changes nothing."""
        ...
