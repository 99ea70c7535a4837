"""Handing messages to an operator: what is sent, and what each kind of answer or silence means."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from bot.gateways import GatewayDown, GatewayRefused, GatewayUnsure, HttpGateway
from bot.messages import Outgoing

Make = Callable[..., HttpGateway]


def test_a_message_goes_out_as_the_profile_says(operator: Any, make_gateway: Make, message: Outgoing) -> None:
    result = make_gateway().send(message)
    ((headers, fields),) = operator.requests
    assert fields == {"to": "+447700900001", "body": "Give 2 {buckets} & stir: ñ €", "ref": "ab12-1-2"}
    assert headers["Authorization"] == "Bearer open sesame"
    assert result.gateway_ref == "h-1"


def test_json_with_a_list_and_digits(
    operator: Any, make_gateway: Make, message: Outgoing, profile_text: str
) -> None:
    text = profile_text.replace("timeout_s = 0.5", 'timeout_s = 0.5\nbody = "json"').replace(
        'to = "{{phone}}"', 'to = ["{{phone_digits}}"]\nkind = 3'
    )
    make_gateway(text).send(message)
    assert operator.requests[0][0]["Content-Type"] == "application/json"
    assert json.loads(operator.bodies[0]) == {
        "to": ["447700900001"], "kind": 3, "body": message.text, "ref": message.reference,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("status", "error"),
    [
        (400, GatewayRefused), (404, GatewayRefused), (422, GatewayRefused),
        (301, GatewayDown), (401, GatewayDown), (403, GatewayDown), (429, GatewayDown), (500, GatewayDown),
        (503, GatewayDown),
        (502, GatewayUnsure), (504, GatewayUnsure),
    ],
)  # fmt: skip
def test_each_status_has_its_meaning(
    operator: Any, make_gateway: Make, message: Outgoing, status: int, error: type[Exception]
) -> None:
    operator.answer = lambda: (status, {"Location": "http://127.0.0.1:1/"}, b"")
    with pytest.raises(error, match=str(status)):
        make_gateway().send(message)
    assert len(operator.requests) == 1


def test_a_busy_operator_says_when_to_come_back(operator: Any, make_gateway: Make, message: Outgoing) -> None:
    operator.answer = lambda: (429, {"Retry-After": "90"}, b"")
    with pytest.raises(GatewayDown) as caught:
        make_gateway().send(message)
    assert caught.value.retry_after == timedelta(seconds=90)


@pytest.mark.parametrize(
    ("given", "understood"), [("99999", timedelta(hours=1)), ("soon", None), ("9" * 400, None)]
)
def test_a_strange_retry_after_is_capped_or_ignored(
    operator: Any, make_gateway: Make, message: Outgoing, given: str, understood: timedelta | None
) -> None:
    operator.answer = lambda: (503, {"Retry-After": given}, b"")
    with pytest.raises(GatewayDown) as caught:
        make_gateway().send(message)
    assert caught.value.retry_after == understood


def test_refused_connections_are_down(operator: Any, make_gateway: Make, message: Outgoing) -> None:
    gateway = make_gateway()
    operator.stop()
    with pytest.raises(GatewayDown, match="no connection"):
        gateway.send(message)
    operator.start()
    assert gateway.send(message).gateway_ref == "h-1"


def test_a_connection_that_breaks_after_the_message_is_unsure(
    operator: Any, make_gateway: Make, message: Outgoing
) -> None:
    operator.answer = lambda: None
    with pytest.raises(GatewayUnsure, match="no answer"):
        make_gateway().send(message)


def test_silence_is_unsure(operator: Any, make_gateway: Make, message: Outgoing) -> None:
    free = threading.Event()

    def never() -> None:
        free.wait(10)

    operator.answer = never
    with pytest.raises(GatewayUnsure, match="no answer .ReadTimeout"):
        make_gateway().send(message)
    free.set()


def test_the_reason_holds_no_secret(
    operator: Any, make_gateway: Make, message: Outgoing, profile_text: str
) -> None:
    gateway = make_gateway(profile_text.replace("/send", "/send?key={{key}}"))
    operator.stop()
    with pytest.raises(GatewayDown) as caught:
        gateway.send(message)
    assert "sesame" not in str(caught.value) + repr(caught.value.__cause__) + repr(gateway._secrets)
    operator.start()


@pytest.mark.parametrize(
    "content", [b"", b"OK", b"[1, 2]", b'{"messages": []}', b'{"messages": [{"id": {}}]}']
)
def test_a_taken_message_stays_taken_when_the_answer_is_strange(
    operator: Any, make_gateway: Make, message: Outgoing, content: bytes
) -> None:
    operator.answer = lambda: (200, {}, content)
    assert make_gateway().send(message).gateway_ref is None


@pytest.mark.parametrize(
    ("content", "outcome"),
    [
        (b'{"status": 0}', None), (b'{"status": "7"}', GatewayRefused), (b'{"status": "99"}', GatewayUnsure),
        (b"OK", GatewayUnsure),
    ],
)  # fmt: skip
def test_a_state_inside_the_answer_decides(
    operator: Any,
    make_gateway: Make,
    message: Outgoing,
    profile_text: str,
    content: bytes,
    outcome: type[Exception] | None,
) -> None:
    gateway = make_gateway(
        profile_text + 'state = "json:status"\ntaken_states = ["0"]\nrefused_states = ["7"]\n'
    )
    operator.answer = lambda: (200, {}, content)
    if outcome is None:
        gateway.send(message)
    else:
        with pytest.raises(outcome, match="state"):
            gateway.send(message)
