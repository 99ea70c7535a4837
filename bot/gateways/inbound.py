"""Calls from a gateway, read by its profile: who calls, what a farmer wrote, what became of a message."""

from __future__ import annotations

import base64
import hashlib
import hmac
import logging
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from ..messages import Inbound
from .base import BadCall, BadSignature, Call, DeliveryReceipt
from .fields import value_at
from .phones import BadPhone, to_e164
from .profile import Hmac, InboundProfile, Profile, ReceiptProfile, SharedSecret

log = logging.getLogger(__name__)


def check_call(check: SharedSecret | Hmac, secret: str, call: Call) -> None:
    """Raises BadSignature unless the call proves that it knows the secret."""
    if isinstance(check, Hmac):
        given = call.headers.get(check.header.lower())
        expected = check.prefix + _digest(check, secret, call.body)
        what = "signature"
    else:
        given, expected, what = value_at(call, check.place), secret, "secret"
    if given is None:
        raise BadSignature(f"no {what}", missing=True)
    # In constant time: how long a comparison takes must not tell how much of a guess was right.
    if not hmac.compare_digest(given.encode("utf-8", "replace"), expected.encode("utf-8", "replace")):
        raise BadSignature(f"wrong {what}", missing=False)


def _digest(check: Hmac, secret: str, body: bytes) -> str:
    digest = hmac.new(secret.encode(), body, hashlib.sha256).digest()
    return digest.hex() if check.digest == "hex" else base64.b64encode(digest).decode()


def parse_message(profile: Profile, call: Call, now: datetime) -> Inbound:
    """A farmer's message. Raises BadCall when there is no usable phone number or no text."""
    inbound = profile.inbound
    phone, text = value_at(call, inbound.phone), value_at(call, inbound.text)
    if phone is None:
        raise BadCall(f"{inbound.phone}: missing, expected the sender's phone number")
    if text is None:
        raise BadCall(f"{inbound.text}: missing, expected the text")
    if inbound.phone_form == "digits" and not phone.strip().startswith("+"):
        phone = "+" + phone.strip()
    try:
        e164 = to_e164(phone, profile.region)
    except BadPhone as exc:
        raise BadCall(f"{inbound.phone}: {exc}") from None
    return Inbound(
        gateway=profile.name, phone=e164, text=_clean(text), gateway_id=_id(call, inbound),
        sent_at=_time(call, inbound, now),
    )  # fmt: skip


def _clean(text: str) -> str:
    # Half a surrogate pair can stand in JSON but in no UTF-8 text, so in no database.
    return text.encode("utf-8", "replace").decode()


def _id(call: Call, inbound: InboundProfile) -> str | None:
    given = value_at(call, inbound.id) if inbound.id else None
    return _clean(given) or None if given else None


def _time(call: Call, inbound: InboundProfile, now: datetime) -> datetime | None:
    """When the farmer sent it. A message without a readable time is still a message, so this never fails.

    Never later than now: a STOP from a gateway whose clock is ahead must not outlive the next START.
    """
    given = value_at(call, inbound.time) if inbound.time else None
    if not given:
        return None
    try:
        return min(_parse_time(given, inbound), now)
    except (ValueError, OverflowError, OSError):
        log.warning(
            "%s: not a time in the form %r; the message is taken without it", inbound.time, inbound.time_form
        )
        return None


def _parse_time(given: str, inbound: InboundProfile) -> datetime:
    if inbound.time_form == "iso":
        moment = datetime.fromisoformat(given)
        return (moment if moment.tzinfo else moment.replace(tzinfo=ZoneInfo(inbound.time_zone))).astimezone(
            UTC
        )
    return datetime.fromtimestamp(float(given) / (1000 if inbound.time_form == "unix_ms" else 1), UTC)


def parse_receipt(receipt: ReceiptProfile, call: Call) -> DeliveryReceipt | None:
    """What became of a message; None for a state that is not final. Raises BadCall."""
    place = receipt.reference or receipt.gateway_ref
    assert place is not None  # the profile's check has seen to it
    name, state = value_at(call, place), value_at(call, receipt.state)
    if not name:
        raise BadCall(f"{place}: missing, expected the message's reference")
    if state is None:
        raise BadCall(f"{receipt.state}: missing, expected the message's state")
    if state not in receipt.delivered and state not in receipt.failed:
        return None
    return DeliveryReceipt(
        outcome="delivered" if state in receipt.delivered else "failed",
        reference=_clean(name) if receipt.reference else None,
        gateway_ref=None if receipt.reference else _clean(name),
        reason=_reason(receipt, call, state),
    )


def _reason(receipt: ReceiptProfile, call: Call, state: str) -> str | None:
    if state in receipt.delivered:
        return None
    told = value_at(call, receipt.reason) if receipt.reason else None
    return _clean(f"{state}: {told}" if told else state)[:200]
