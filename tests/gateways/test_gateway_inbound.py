"""Reading what a gateway delivers: signature, phone, text, id, time, receipts."""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import parse_qsl, urlencode

import pytest

from bot.gateways import BadCall, BadPhone, BadSignature, Call, HttpGateway, to_e164
from bot.gateways.inbound import check_call
from bot.gateways.profile import Hmac, SharedSecret

Make = Callable[..., HttpGateway]


def signed(fields: dict[str, str]) -> Call:
    body = urlencode(fields).encode()
    mark = hmac.new(b"Jefe", body, hashlib.sha256).hexdigest()
    form = dict(parse_qsl(body.decode(), keep_blank_values=True))
    return Call(headers={"x-harbour-signature": f"sha256={mark}"}, form=form, body=body)


def delivery(**changes: str) -> Call:
    return signed({"from": "+447700900001", "text": "stick is cold", "id": "m1"} | changes)


# RFC 4231, "Identifiers and Test Vectors for HMAC-SHA-224, ...", test case 2 (checked against hmac itself too).
RFC_BODY, RFC_KEY = b"what do ya want for nothing?", "Jefe"
RFC_HEX = "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"


def test_hmac_agrees_with_the_published_vector() -> None:
    check = Hmac(header="X-Mark", secret_env="S")
    check_call(check, RFC_KEY, Call(headers={"x-mark": RFC_HEX}, body=RFC_BODY))
    base64 = "W9zBRr9gdU5qBCQmCJV1x1oAPwidJzmDnexYuWTsOEM="
    check_call(
        Hmac("X-Mark", "S", "v1=", "base64"), RFC_KEY, Call(headers={"x-mark": f"v1={base64}"}, body=RFC_BODY)
    )


@pytest.mark.parametrize(
    "mark", ["", RFC_HEX.upper(), RFC_HEX[:-1], RFC_HEX[:-1] + "4", f"sha256={RFC_HEX}", "ü", "\udcff"]
)
def test_a_wrong_signature_is_refused(mark: str) -> None:
    with pytest.raises(BadSignature, match="wrong signature") as caught:
        check_call(Hmac("X-Mark", "S"), RFC_KEY, Call(headers={"x-mark": mark}, body=RFC_BODY))
    assert not caught.value.missing


def test_a_changed_body_is_refused() -> None:
    with pytest.raises(BadSignature, match="wrong signature"):
        check_call(Hmac("X-Mark", "S"), RFC_KEY, Call(headers={"x-mark": RFC_HEX}, body=RFC_BODY + b"?"))


@pytest.mark.parametrize(
    ("place", "call"),
    [
        ("header:X-Secret", Call(headers={"x-secret": "Jefe"})), ("query:key", Call(query={"key": "Jefe"})),
        ("form:key", Call(form={"key": "Jefe"})), ("json:a.key", Call(body=b'{"a": {"key": "Jefe"}}')),
    ],
)  # fmt: skip
def test_a_shared_secret_may_stand_in_four_places(place: str, call: Call) -> None:
    check_call(SharedSecret(place, "S"), "Jefe", call)
    with pytest.raises(BadSignature, match="wrong secret"):
        check_call(SharedSecret(place, "S"), "Joffe", call)


def test_no_signature_is_told_apart(make_gateway: Make, now: datetime) -> None:
    with pytest.raises(BadSignature, match="no signature") as caught:
        make_gateway().read_message(Call(form={"from": "+447700900001", "text": "x"}), now)
    assert caught.value.missing


def test_the_signature_is_checked_before_anything_else(make_gateway: Make, now: datetime) -> None:
    with pytest.raises(BadSignature):
        make_gateway().read_message(Call(form={"from": "nonsense"}), now)
    with pytest.raises(BadSignature):
        make_gateway().read_receipt(Call())


def test_a_message_is_read_by_the_profile(make_gateway: Make, now: datetime) -> None:
    inbound = make_gateway().read_message(delivery(at="2026-03-02T05:29:00"), now)
    assert (inbound.gateway, inbound.phone, inbound.text) == ("harbour", "+447700900001", "stick is cold")
    assert (inbound.gateway_id, inbound.sent_at) == ("m1", now - timedelta(minutes=1))


def test_an_empty_text_is_a_message(make_gateway: Make, now: datetime) -> None:
    assert make_gateway().read_message(delivery(text=""), now).text == ""


@pytest.mark.parametrize(
    ("fields", "error"),
    [
        ({"text": "x"}, "form:from: missing"), ({"from": "+447700900001"}, "form:text: missing"),
        ({"from": "HARBOUR", "text": "x"}, "form:from: the sender is not a phone number"),
        ({"from": "12345", "text": "x"}, "form:from: no phone number has this many digits"),
        ({"from": "+999123456789", "text": "x"}, "form:from: not a phone number"),
    ],
)  # fmt: skip
def test_a_call_without_phone_or_text_is_refused(
    make_gateway: Make, now: datetime, fields: dict[str, str], error: str
) -> None:
    with pytest.raises(BadCall, match=error):
        make_gateway().read_message(signed(fields), now)


@pytest.mark.parametrize("at", ["yesterday", "2026-13-40", "", "nan", "1e999"])
def test_a_message_without_a_readable_time_is_taken(make_gateway: Make, now: datetime, at: str) -> None:
    assert make_gateway().read_message(delivery(at=at), now).sent_at is None


def test_a_gateway_clock_that_is_ahead_does_not_reach_into_the_future(
    make_gateway: Make, now: datetime
) -> None:
    assert make_gateway().read_message(delivery(at="2099-01-01T00:00:00Z"), now).sent_at == now


@pytest.mark.parametrize(
    ("setting", "written"),
    [
        ('time_zone = "Etc/GMT-3"', "2026-03-02T08:00:00"), ("", "2026-03-02T08:00:00+03:00"), ("", "2026-03-02T05:00:00Z"),
        ('time_form = "unix"', "1772427600"), ('time_form = "unix_ms"', "1772427600000"),
    ],
)  # fmt: skip
def test_forms_of_time(
    make_gateway: Make, now: datetime, profile_text: str, setting: str, written: str
) -> None:
    gateway = make_gateway(profile_text.replace('time = "form:at"', f'time = "form:at"\n{setting}'))
    assert gateway.read_message(delivery(at=written), now).sent_at == datetime(2026, 3, 2, 5, 0, tzinfo=UTC)


def json_call(body: bytes) -> Call:
    mark = hmac.new(b"Jefe", body, hashlib.sha256).hexdigest()
    return Call(headers={"x-harbour-signature": f"sha256={mark}"}, body=body)


@pytest.fixture
def json_gateway(make_gateway: Make, profile_text: str) -> HttpGateway:
    text = profile_text.replace('"form:from"', '"json:sms.0.from"').replace(
        '"form:text"', '"json:sms.0.text"'
    )
    return make_gateway(text.replace('"form:id"', '"json:sms.0.id"').replace('time = "form:at"', ""))


def test_json_deliveries(json_gateway: HttpGateway, now: datetime) -> None:
    body = '{"sms": [{"from": "+447700900001", "text": "Moto! 🔥", "id": 77}]}'.encode()
    inbound = json_gateway.read_message(json_call(body), now)
    assert (inbound.text, inbound.gateway_id) == ("Moto! 🔥", "77")


@pytest.mark.parametrize(
    ("text", "read"),
    [
        (b'"a\\ud83db"', "a?b"),
        (b'"a\xffb"', "a\ufffdb"),
        (b'"a\\u0000b"', "a\0b"),
        (b"58", "58"),
        (b"1.5", "1.5"),
    ],
)
def test_damaged_text_is_kept_as_far_as_it_can_be(
    json_gateway: HttpGateway, now: datetime, text: bytes, read: str
) -> None:
    call = json_call(b'{"sms": [{"from": "+447700900001", "text": %b}]}' % text)
    assert json_gateway.read_message(call, now).text == read


@pytest.mark.parametrize(
    ("body", "error"),
    [
        (b"{", "not JSON"), (b"", "not JSON"), (b"[" * 100_000, "not JSON"), (b"[]", "sms.0.from: missing"),
        (b'{"sms": [{"from": "+447700900001", "text": ["x"]}]}', "expected text or a number"),
        (b'{"sms": [{"from": true, "text": "x"}]}', "expected text or a number"),
    ],
)  # fmt: skip
def test_other_bodies_are_refused(json_gateway: HttpGateway, now: datetime, body: bytes, error: str) -> None:
    with pytest.raises(BadCall, match=error):
        json_gateway.read_message(json_call(body), now)


@pytest.mark.parametrize(
    ("written", "region", "e164"),
    [
        ("+447700900001", None, "+447700900001"), (" 447700900001", None, "+447700900001"),
        ("07700 900001", "GB", "+447700900001"),
        ("+44 (0)7700-900001", "GB", "+447700900001"), ("00447700900001", "GB", "+447700900001"),
    ],
)  # fmt: skip
def test_phones_in_usual_writings(written: str, region: str | None, e164: str) -> None:
    assert to_e164(written, region) == e164


def test_the_whole_drama_range_is_accepted() -> None:
    # Ofcom's numbers for drama use: possible by their length, though the library knows that none is in service.
    import phonenumbers

    for last in (0, 1, 500, 999):
        phone = f"+447700900{last:03d}"
        assert to_e164(phone) == phone
        assert not phonenumbers.is_valid_number(phonenumbers.parse(phone))


@pytest.mark.parametrize(
    "written", ["", "+", "447700900001", "07700900001", "+44770", "+4477009000019999", "Asha", "+44;DROP"]
)
def test_what_is_no_phone(written: str) -> None:
    with pytest.raises(BadPhone):
        to_e164(written)


def test_digits_without_a_plus(make_gateway: Make, now: datetime, profile_text: str) -> None:
    gateway = make_gateway(profile_text.replace('time = "form:at"', 'phone_form = "digits"'))
    assert gateway.read_message(delivery(**{"from": "447700900001"}), now).phone == "+447700900001"


@pytest.mark.parametrize(
    ("fields", "outcome", "reason"),
    [
        ({"state": "DELIVERED"}, "delivered", None), ({"state": "EXPIRED"}, "failed", "EXPIRED"),
        ({"state": "REJECTED", "why": "barred"}, "failed", "REJECTED: barred"),
    ],
)  # fmt: skip
def test_receipts(make_gateway: Make, fields: dict[str, str], outcome: str, reason: str | None) -> None:
    told: Any = make_gateway().read_receipt(signed({"ref": "ab12-1-2"} | fields))
    assert (told.reference, told.gateway_ref, told.outcome, told.reason) == (
        "ab12-1-2",
        None,
        outcome,
        reason,
    )


def test_a_state_that_is_not_final_changes_nothing(make_gateway: Make) -> None:
    assert make_gateway().read_receipt(signed({"ref": "ab12-1-2", "state": "BUFFERED"})) is None


@pytest.mark.parametrize(
    "fields", [{"state": "DELIVERED"}, {"ref": "ab12-1-2"}, {"ref": "", "state": "DELIVERED"}]
)
def test_a_receipt_needs_reference_and_state(make_gateway: Make, fields: dict[str, str]) -> None:
    with pytest.raises(BadCall, match="missing, expected the message's"):
        make_gateway().read_receipt(signed(fields))


def test_a_profile_without_receipts_says_so(make_gateway: Make, profile_text: str) -> None:
    start, end = profile_text.index("[receipt]"), profile_text.index("[outbound]")
    with pytest.raises(BadCall, match="describes no receipts"):
        make_gateway(profile_text[:start] + profile_text[end:]).read_receipt(signed({}))
