"""Each delivery is taken once, however often and in whatever order a gateway delivers it."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta

import pytest

from bot.messages import Inbound
from bot.store import Store

WINDOW = timedelta(minutes=2)
PHONE = "+447700900001"


def inbound(text: str = "JOIN", **known: object) -> Inbound:
    return Inbound(**({"gateway": "harbour", "phone": PHONE, "text": text} | known))  # type: ignore[arg-type]


def test_ten_deliveries_of_one_message_are_one_message(store: Store, now: datetime) -> None:
    receipts = [
        store.inbox.record(inbound(gateway_id="m1"), now + timedelta(days=i), WINDOW) for i in range(10)
    ]
    assert [receipt.repeated for receipt in receipts] == [False] + [True] * 9
    assert {(receipt.line_id, receipt.in_no) for receipt in receipts} == {(1, 1)}
    assert [entry.text for entry in store.transcript()] == ["JOIN"]


def test_same_text_with_another_id_is_another_message(store: Store, now: datetime) -> None:
    first = store.inbox.record(inbound(gateway_id="m1"), now, WINDOW)
    second = store.inbox.record(inbound(gateway_id="m2"), now, WINDOW)
    assert (second.in_no, second.repeated) == (first.in_no + 1, False)


def test_without_id_the_same_text_within_the_window_is_a_repeat(store: Store, now: datetime) -> None:
    store.inbox.record(inbound("DONE"), now, WINDOW)
    assert store.inbox.record(inbound("DONE"), now + timedelta(seconds=119), WINDOW).repeated
    assert not store.inbox.record(inbound("BACK"), now + timedelta(seconds=119), WINDOW).repeated
    assert not store.inbox.record(inbound("DONE"), now + timedelta(seconds=120), WINDOW).repeated


def test_the_window_opens_at_the_first_delivery_not_at_the_last_repeat(store: Store, now: datetime) -> None:
    times = [now + timedelta(seconds=90 * i) for i in range(3)]
    assert [store.inbox.record(inbound("DONE"), at, WINDOW).repeated for at in times] == [False, True, False]


def test_without_id_another_sending_time_makes_another_message(store: Store, now: datetime) -> None:
    first = store.inbox.record(inbound("DONE", sent_at=now), now, WINDOW)
    second = store.inbox.record(inbound("DONE", sent_at=now + timedelta(seconds=20)), now, WINDOW)
    again = store.inbox.record(inbound("DONE", sent_at=now), now + timedelta(seconds=30), WINDOW)
    assert (first.repeated, second.repeated, again.repeated) == (False, False, True)
    assert again.in_no == first.in_no


def test_other_phones_and_gateways_do_not_repeat_each_other(store: Store, now: datetime) -> None:
    store.inbox.record(inbound(gateway_id="m1"), now, WINDOW)
    assert not store.inbox.record(inbound(gateway_id="m1", phone="+447700900002"), now, WINDOW).repeated
    assert not store.inbox.record(inbound(gateway_id="m1", gateway="hill"), now, WINDOW).repeated


def test_a_line_remembers_the_gateway_it_was_last_heard_through(store: Store, now: datetime) -> None:
    store.inbox.record(inbound(), now, WINDOW)
    store.inbox.record(inbound("HELP", gateway="hill"), now, WINDOW)
    line = store.lines.by_phone(PHONE)
    assert line is not None
    assert (line.gateway, line.created_at) == ("hill", now)


def test_concurrent_deliveries_from_one_phone_are_numbered_without_gap(store: Store, now: datetime) -> None:
    receipts = []

    def deliver(worker: int) -> None:
        for i in range(10):
            # Every worker delivers a message of its own and one that all of them deliver.
            receipts.append(store.inbox.record(inbound(gateway_id=f"{worker}-{i}"), now, WINDOW))
            receipts.append(store.inbox.record(inbound(gateway_id=f"all-{i}"), now, WINDOW))

    threads = [threading.Thread(target=deliver, args=(worker,)) for worker in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    taken = sorted(receipt.in_no for receipt in receipts if not receipt.repeated)
    assert taken == list(range(1, 6 * 10 + 10 + 1))
    assert len(store.transcript(PHONE)) == 70


@pytest.mark.parametrize(
    "text",
    [
        "", "x" * 1000, "🌱🔥💧", "\x00\x01\x7f\xff", "مرحبا بالسماد", "'; DROP TABLE lines; --",
        "<script>alert(1)</script>",
        '=HYPERLINK("http://example.org")', "line\r\nbreak\ttab", "e\u0301 \u202e reversed",
    ],
)  # fmt: skip
def test_any_text_comes_back_as_it_was_sent(store: Store, now: datetime, text: str) -> None:
    receipt = store.inbox.record(inbound(text), now, WINDOW)
    store.inbox.set_read(receipt.line_id, receipt.in_no, {"text": text, "understood": False}, 1)
    (entry,) = store.transcript(PHONE)
    assert (entry.text, entry.direction, entry.at) == (text, "in", now)
    assert entry.read == {"text": text, "understood": False}


def test_half_a_surrogate_pair_is_replaced_and_the_rest_is_kept(store: Store, now: datetime) -> None:
    store.inbox.record(inbound("cold \ud83d stick"), now, WINDOW)
    assert store.transcript()[0].text == "cold ? stick"


def test_a_time_without_zone_is_refused(store: Store) -> None:
    with pytest.raises(ValueError, match="needs a time with a zone"):
        store.inbox.record(inbound(), datetime(2026, 3, 2, 5, 30), WINDOW)  # noqa: DTZ001 - the point of the test
    assert store.lines.all() == []


def test_times_in_other_zones_are_kept_as_the_same_moment(store: Store, now: datetime) -> None:
    from zoneinfo import ZoneInfo

    there = now.astimezone(ZoneInfo("Etc/GMT-3"))
    store.inbox.record(inbound(sent_at=there), there, WINDOW)
    (entry,) = store.transcript()
    assert entry.at == now
    assert entry.at.tzinfo is UTC
