"""The outbox: order on a line, retries, receipts, STOP, messages that come too late, recovery."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from bot.messages import Outgoing
from bot.store import OutboxRow, Store

MINUTE = timedelta(minutes=1)
Queue = Callable[..., Outgoing]


@pytest.fixture
def queue(store: Store, now: datetime) -> Queue:
    def put(text: str = "Hello", phone: str = "+447700900001", at: datetime = now, **more: Any) -> Outgoing:
        line = store.lines.find_or_add(phone, "harbour", now)
        known = {"segments": 1, "encoding": "GSM-7", "why": "reply"} | more
        return store.outbox.queue(line.line_id, text, at, **known)

    return put


def row(store: Store, message: Outgoing) -> OutboxRow:
    found = store.outbox.get(message.line_id, message.out_no)
    assert found is not None
    return found


def texts(messages: list[Outgoing]) -> list[str]:
    return [message.text for message in messages]


def test_a_queued_message_keeps_why_it_was_sent(store: Store, queue: Queue, now: datetime) -> None:
    trace = {"rule": "water the pile", "litres": 40.0, "since": "2026-02-23"}
    message = queue(trace=trace, dialogue="care", step="water", reply_to=7, farmer_no=1)
    kept = row(store, message)
    assert (kept.trace, kept.dialogue, kept.step, kept.reply_to) == (trace, "care", "water", 7)
    assert (kept.state, kept.queued_at, kept.attempts) == ("queued", now, 0)
    assert store.outbox.by_reference(message.reference) == kept


def test_references_differ_between_databases(store: Store, queue: Queue, now: datetime) -> None:
    with Store.open(":memory:") as other:
        line = other.lines.find_or_add("+447700900001", "harbour", now)
        twin = other.outbox.queue(line.line_id, "Hello", now, segments=1, encoding="GSM-7", why="reply")
        mine = queue()
        assert (twin.line_id, twin.out_no) == (mine.line_id, mine.out_no)
        assert twin.reference != mine.reference


def test_a_later_message_never_overtakes_an_earlier_one_of_its_line(
    store: Store, queue: Queue, now: datetime
) -> None:
    first = queue("one")
    queue("two")
    queue("other line", phone="+447700900002")
    claimed = store.outbox.claim("harbour", now)
    assert texts(claimed) == ["one", "other line"]
    assert store.outbox.claim("harbour", now) == []
    store.outbox.mark_waiting(first, now + MINUTE, "no connection")
    assert store.outbox.claim("harbour", now) == []
    assert store.outbox.next_try("harbour") == now + MINUTE
    again = store.outbox.claim("harbour", now + MINUTE)
    assert [(message.text, message.attempts, message.reference) for message in again] == [
        ("one", 2, first.reference)
    ]
    store.outbox.mark_sent(first, now + MINUTE, "g-1")
    assert texts(store.outbox.claim("harbour", now + MINUTE)) == ["two"]


@pytest.mark.parametrize("final", ["mark_failed", "mark_unsure"])
def test_a_message_that_will_not_be_sent_does_not_hold_up_the_next(
    store: Store, queue: Queue, now: datetime, final: str
) -> None:
    first = queue("one")
    queue("two")
    store.outbox.claim("harbour", now)
    getattr(store.outbox, final)(first, now, "barred number")
    assert row(store, first).error == "barred number"
    assert texts(store.outbox.claim("harbour", now)) == ["two"]


def test_each_gateway_claims_its_own(store: Store, queue: Queue, now: datetime) -> None:
    queue("harbour's")
    line = store.lines.find_or_add("+447700900005", "hill", now)
    store.outbox.queue(line.line_id, "hill's", now, segments=1, encoding="GSM-7", why="notice")
    assert texts(store.outbox.claim("hill", now)) == ["hill's"]
    assert texts(store.outbox.claim("harbour", now)) == ["harbour's"]


def test_stop_drops_what_waits_and_lets_only_its_confirmation_through(
    store: Store, queue: Queue, now: datetime
) -> None:
    waiting = queue("turn the pile")
    store.lines.set_state(waiting.line_id, "stopped", now)
    confirmation = queue("You get no more messages.", even_if_stopped=True)
    late = queue("turn the pile again", why="reminder")
    assert store.outbox.claim("harbour", now) == [
        # The same but for the count of attempts.
        Outgoing(
            **{name: getattr(confirmation, name) for name in confirmation.__struct_fields__} | {"attempts": 1}
        )
    ]
    assert [row(store, message).state for message in (waiting, late)] == ["dropped", "dropped"]
    assert row(store, late).error == "the line is stopped"


def test_stop_while_the_gateway_has_a_message_keeps_it_from_a_second_try(
    store: Store, queue: Queue, now: datetime
) -> None:
    message = queue()
    store.outbox.claim("harbour", now)
    store.lines.set_state(message.line_id, "stopped", now)
    store.outbox.mark_waiting(message, now + MINUTE, "no connection")
    assert row(store, message).state == "dropped"
    assert store.outbox.claim("harbour", now + MINUTE) == []


def test_a_stop_that_arrives_late_drops_nothing(store: Store, queue: Queue, now: datetime) -> None:
    message = queue()
    store.lines.set_state(message.line_id, "open", now)
    store.lines.set_state(message.line_id, "stopped", now - MINUTE)
    assert row(store, message).state == "queued"


def test_what_comes_too_late_is_dropped_and_the_next_goes(store: Store, queue: Queue, now: datetime) -> None:
    reminder = queue("Water today", why="reminder", send_before=now + MINUTE)
    queue("reply")
    assert texts(store.outbox.claim("harbour", now + MINUTE)) == ["reply"]
    kept = row(store, reminder)
    assert (kept.state, kept.error) == ("dropped", "too late to be of use")


def test_in_time_it_goes(store: Store, queue: Queue, now: datetime) -> None:
    queue("Water today", why="reminder", send_before=now + MINUTE)
    assert texts(store.outbox.claim("harbour", now + MINUTE - timedelta(microseconds=1))) == ["Water today"]


@pytest.mark.parametrize("by", ["reference", "gateway_ref"])
def test_a_receipt_closes_a_message(store: Store, queue: Queue, now: datetime, by: str) -> None:
    message = queue()
    store.outbox.claim("harbour", now)
    store.outbox.mark_sent(message, now, "g-1")
    named = {"reference": message.reference} if by == "reference" else {"gateway_ref": "g-1"}
    assert store.outbox.take_receipt("harbour", "delivered", now + MINUTE, **named)
    kept = row(store, message)
    assert (kept.state, kept.sent_at, kept.closed_at, kept.gateway_ref) == (
        "delivered",
        now,
        now + MINUTE,
        "g-1",
    )
    # Receipts repeat and come out of order too: delivered is final.
    assert store.outbox.take_receipt("harbour", "failed", now + 2 * MINUTE, reason="expired", **named)
    assert row(store, message) == kept


def test_a_receipt_that_comes_before_the_answer_stands(store: Store, queue: Queue, now: datetime) -> None:
    message = queue()
    store.outbox.claim("harbour", now)
    store.outbox.take_receipt("harbour", "delivered", now, reference=message.reference)
    store.outbox.mark_sent(message, now, "g-1")
    assert row(store, message).state == "delivered"


def test_a_failed_receipt_names_its_reason(store: Store, queue: Queue, now: datetime) -> None:
    message = queue()
    store.outbox.claim("harbour", now)
    store.outbox.mark_sent(message, now, None)
    store.outbox.take_receipt(
        "harbour", "failed", now, reference=message.reference, reason="phone off for days"
    )
    assert (row(store, message).state, row(store, message).error) == ("failed", "phone off for days")


def test_unknown_or_foreign_receipts_change_nothing(store: Store, queue: Queue, now: datetime) -> None:
    message = queue()
    other = "00000000-" + message.reference.split("-", 1)[1]
    for unknown in ("no-such", "", other, message.reference + "0", "ab-1-" + "9" * 30, "ab-1-²"):
        assert not store.outbox.take_receipt("harbour", "delivered", now, reference=unknown)
        assert store.outbox.by_reference(unknown) is None
    assert not store.outbox.take_receipt("hill", "delivered", now, reference=message.reference)
    assert not store.outbox.take_receipt("harbour", "delivered", now, gateway_ref="g-9")
    assert row(store, message).state == "queued"


def test_recovery_repeats_only_where_the_gateway_drops_repeats(
    store: Store, queue: Queue, now: datetime
) -> None:
    message = queue()
    store.outbox.claim("harbour", now)
    assert store.outbox.recover("hill", now, drops_repeats=True) == 0
    assert store.outbox.recover("harbour", now, drops_repeats=True) == 1
    (again,) = store.outbox.claim("harbour", now)
    assert (again.reference, again.attempts) == (message.reference, 2)
    assert store.outbox.recover("harbour", now, drops_repeats=False) == 1
    assert row(store, message).state == "unsure"
    assert store.counts(now).unsure == 1


def test_recovery_does_not_repeat_to_a_farmer_who_sent_stop(
    store: Store, queue: Queue, now: datetime
) -> None:
    message = queue()
    store.outbox.claim("harbour", now)
    store.lines.set_state(message.line_id, "stopped", now)
    store.outbox.recover("harbour", now, drops_repeats=True)
    assert row(store, message).state == "dropped"


def test_counts_and_the_oldest_that_waits(store: Store, queue: Queue, now: datetime) -> None:
    queue("one")
    refused = queue("x", phone="+447700900002")
    queue("two", at=now + MINUTE)
    store.outbox.claim("harbour", now)
    store.outbox.mark_failed(refused, now, "barred")
    counts = store.counts(now + MINUTE)
    assert (counts.lines, counts.queued, counts.sending, counts.failed, counts.unsure) == (2, 1, 1, 1, 0)
    assert counts.oldest_queued_at == now + MINUTE


def test_last_unasked_looks_past_dropped_messages_and_replies(
    store: Store, queue: Queue, now: datetime
) -> None:
    sent = queue("Water", why="reminder", dialogue="care")
    queue("Reply", at=now + MINUTE)
    assert store.outbox.last_unasked(sent.line_id) == now
    queue("We stopped here", at=now + 2 * MINUTE, why="notice")
    assert store.outbox.last_unasked(sent.line_id) == now + 2 * MINUTE
    store.lines.set_state(sent.line_id, "stopped", now)
    assert store.outbox.last_unasked(sent.line_id) is None


def test_what_waits_for_the_morning_goes_at_once_when_the_farmer_writes(
    store: Store, queue: Queue, now: datetime
) -> None:
    sent = queue("Your trainer writes: yes", not_before=now + 600 * MINUTE)
    assert store.outbox.claim("harbour", now + MINUTE) == []
    store.outbox.release(sent.line_id, now + 2 * MINUTE)
    assert [m.text for m in store.outbox.claim("harbour", now + 2 * MINUTE)] == ["Your trainer writes: yes"]


def test_the_transcript_keeps_the_order_of_a_talk_at_one_moment(
    store: Store, queue: Queue, now: datetime
) -> None:
    from bot.messages import Inbound

    for text in ("JOIN", "Asha", "yes"):
        store.inbox.record(
            Inbound(gateway="harbour", phone="+447700900001", text=text), now, timedelta(minutes=2)
        )
        queue(f"after {text}")
    told = [(entry.direction, entry.text) for entry in store.transcript("+447700900001")]
    assert told == [
        ("in", "JOIN"), ("out", "after JOIN"), ("in", "Asha"), ("out", "after Asha"), ("in", "yes"),
        ("out", "after yes"),
    ]  # fmt: skip
    entry = store.transcript()[1]
    assert (entry.segments, entry.encoding, entry.why, entry.state) == (1, "GSM-7", "reply", "queued")


def test_an_unknown_line_cannot_be_written_to(store: Store, now: datetime) -> None:
    with pytest.raises(KeyError, match="no line 5"):
        store.outbox.queue(5, "x", now, segments=1, encoding="GSM-7", why="reply")
