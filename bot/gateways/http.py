"""A gateway over HTTP, as its profile describes it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from pathlib import Path

import requests
from urllib3.exceptions import ConnectTimeoutError, MaxRetryError, NewConnectionError

from ..messages import Inbound, Outgoing
from .base import BadCall, Call, DeliveryReceipt, GatewayDown, GatewayRefused, GatewayUnsure, SendResult
from .fields import json_value, parse_json
from .inbound import check_call, parse_message, parse_receipt
from .profile import Profile, Secrets, fill, read_profile

_MAYBE_TAKEN = (502, 504)
"""Statuses of a proxy that got no answer from the gateway behind it (RFC 9110, 15.6.3 and 15.6.5)."""
_LONGEST_RETRY_AFTER = timedelta(hours=1)


class HttpGateway:
    """Sends by a request per message; reads the calls that the gateway makes to us."""

    def __init__(self, profile: Profile, secrets: Secrets) -> None:
        self._profile, self._secrets = profile, secrets
        self._session = requests.Session()
        # Proxies and passwords come from the profile alone, not from a variable or file of the machine.
        self._session.trust_env = False
        if not profile.drops_repeats:
            # A kept connection may be closed by the other end just as it is used again, and then nobody knows
            # whether the message went through: with a fresh one that is rare.
            self._session.headers["Connection"] = "close"

    @classmethod
    def read(cls, path: Path, environ: Mapping[str, str]) -> HttpGateway:
        """From a profile file; secrets from the environment. Raises BadFile."""
        return cls(*read_profile(path, environ))

    @property
    def name(self) -> str:
        return self._profile.name

    @property
    def drops_repeats(self) -> bool:
        return self._profile.drops_repeats

    @property
    def chat(self) -> bool:
        return self._profile.chat

    def close(self) -> None:
        self._session.close()

    def send(self, message: Outgoing) -> SendResult:
        """Hand a message over. Raises GatewayDown, GatewayRefused or GatewayUnsure."""
        try:
            answer = self._request(message)
        except requests.RequestException as exc:
            raise _no_answer(exc) from None
        return self._understand(answer)

    def _request(self, message: Outgoing) -> requests.Response:
        outbound = self._profile.outbound
        values = {
            "phone": message.phone,
            "phone_digits": message.phone.removeprefix("+"),
            "text": message.text,
            "reference": message.reference,
        } | self._secrets.outbound
        fields = fill(outbound.fields, values)
        return self._session.request(
            outbound.method,
            fill(outbound.url, values),
            params=fields if outbound.body == "query" else None,
            data=fields if outbound.body == "form" else None,
            json=fields if outbound.body == "json" else None,
            headers=fill(outbound.headers, values),
            auth=tuple(fill(outbound.basic, values)) if outbound.basic else None,
            timeout=outbound.timeout_s,
            # A redirect can turn a POST into a GET and lose the message on the way.
            allow_redirects=False,
        )

    def _understand(self, answer: requests.Response) -> SendResult:
        status, expected = answer.status_code, self._profile.outbound.answer
        if status in expected.refused:
            raise GatewayRefused(f"the gateway answered {status}")
        if status in _MAYBE_TAKEN:
            raise GatewayUnsure(f"the gateway's proxy answered {status}")
        if status not in expected.taken:
            raise GatewayDown(f"the gateway answered {status}", _retry_after(answer))
        if expected.state is not None:
            self._check_state(_answer_value(answer, expected.state))
        return SendResult(_answer_value(answer, expected.gateway_ref) if expected.gateway_ref else None)

    def _check_state(self, state: str | None) -> None:
        expected = self._profile.outbound.answer
        if state in expected.taken_states:
            return
        if state in expected.refused_states:
            raise GatewayRefused(f"the gateway answered with state {state!r}")
        raise GatewayUnsure(f"the gateway answered with the unknown state {state!r}")

    def read_message(self, call: Call, now: datetime) -> Inbound:
        """Raises BadSignature, BadCall."""
        check_call(self._profile.check, self._secrets.check, call)
        return parse_message(self._profile, call, now)

    def read_receipt(self, call: Call) -> DeliveryReceipt | None:
        """None for a state that is not final. Raises BadSignature, BadCall."""
        check_call(self._profile.check, self._secrets.check, call)
        if self._profile.receipt is None:
            raise BadCall("the profile of this gateway describes no receipts")
        return parse_receipt(self._profile.receipt, call)


def _no_answer(exc: requests.RequestException) -> GatewayDown | GatewayUnsure:
    """Down when no connection came about, so that nothing was sent; else nobody knows.

    The library's own text is left out: it holds the address, in which a secret may stand.
    """
    cause = exc.args[0] if exc.args else None
    reason = cause.reason if isinstance(cause, MaxRetryError) else None
    if isinstance(exc, requests.exceptions.SSLError):
        return GatewayDown("no safe connection (certificate or protocol)")
    if isinstance(reason, (NewConnectionError, ConnectTimeoutError)):
        return GatewayDown("no connection")
    if isinstance(exc, (requests.exceptions.InvalidURL, requests.exceptions.InvalidSchema)):
        return GatewayDown("the address of the gateway is wrong")
    return GatewayUnsure(f"no answer ({type(exc).__name__})")


def _retry_after(answer: requests.Response) -> timedelta | None:
    given = answer.headers.get("Retry-After", "")
    return (
        min(timedelta(seconds=int(given)), _LONGEST_RETRY_AFTER)
        if given.isdecimal() and len(given) < 9
        else None
    )


def _answer_value(answer: requests.Response, place: str) -> str | None:
    # Taken all the same if the answer cannot be read: a second try would be a second message on the phone.
    try:
        return json_value(parse_json(answer.content), place.removeprefix("json:"), place)
    except BadCall:
        return None
