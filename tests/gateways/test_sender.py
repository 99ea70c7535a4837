"""The sender: a dead gateway loses nothing, a crash repeats nothing, order is kept, threads end."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from bot.clock import HandClock, SystemClock
from bot.gateways import GatewayDown, GatewayRefused, GatewayUnsure, HttpGateway, SendResult, SimulatedGateway
from bot.messages import Outgoing
from bot.sender import Sender, Senders
from bot.sender_lock import SenderLock, SenderRunning
from bot.store import Store, StoreFull

ROOT = Path(__file__).parents[2]
SECONDS = [timedelta(seconds=seconds) for seconds in (5, 15, 60)]
Make = Callable[..., HttpGateway]


class Scripted:
    """A gateway that does what its script says, then takes everything."""

    name = "harbour"

    def __init__(self, *script: Exception | None, drops_repeats: bool = True) -> None:
        self.script, self.drops_repeats, self.tried = list(script), drops_repeats, []
        self.taken: list[str] = []

    def send(self, message: Outgoing) -> SendResult:
        self.tried.append(message.text)
        if self.script and (outcome := self.script.pop(0)) is not None:
            raise outcome
        self.taken.append(message.text)
        return SendResult(f"s-{len(self.taken)}")


@pytest.fixture
def clock(now: datetime) -> HandClock:
    return HandClock(now)


def queue(store: Store, text: str, now: datetime, phone: int = 1, gateway: str = "harbour") -> Outgoing:
    line = store.lines.find_or_add(f"+4477009000{phone:02d}", gateway, now)
    return store.outbox.queue(line.line_id, text, now, segments=1, encoding="GSM-7", why="reply")


def states(store: Store) -> list[str | None]:
    return [entry.state for entry in store.transcript()]


def test_everything_that_waits_is_sent_in_order(store: Store, clock: HandClock) -> None:
    for text in ("one", "two", "three"):
        queue(store, text, clock.now())
    gateway = Scripted()
    assert Sender(store, gateway, clock, SECONDS).drain() == 3
    assert gateway.taken == ["one", "two", "three"]
    assert states(store) == ["sent"] * 3


def test_a_dead_gateway_loses_nothing_and_is_asked_ever_more_rarely(store: Store, clock: HandClock) -> None:
    for phone in range(5):
        queue(store, f"to {phone}", clock.now(), phone)
    gateway = Scripted(*[GatewayDown("no connection")] * 5)
    sender = Sender(store, gateway, clock, SECONDS)
    tried_at = []
    for second in range(300):
        before = len(gateway.tried)
        sender.drain()
        if len(gateway.tried) > before:
            tried_at.append(second)
        clock.move_by(timedelta(seconds=1))
    # One try per rest, not one per message; rests of 5, 15, 60, 60, 60 s.
    assert tried_at[:6] == [0, 5, 20, 80, 140, 200]
    assert sorted(gateway.taken) == [f"to {phone}" for phone in range(5)]
    assert states(store) == ["sent"] * 5


def test_after_a_success_the_rests_start_short_again(store: Store, clock: HandClock) -> None:
    gateway = Scripted(GatewayDown("x"), None, GatewayDown("x"))
    sender = Sender(store, gateway, clock, SECONDS)
    queue(store, "one", clock.now())
    sender.drain()
    clock.move_by(SECONDS[0])
    assert sender.drain() == 1
    queue(store, "two", clock.now())
    sender.drain()
    clock.move_by(SECONDS[0])
    assert sender.drain() == 1


def test_a_gateway_that_asks_for_rest_gets_it(store: Store, clock: HandClock) -> None:
    gateway = Scripted(GatewayDown("the gateway answered 429", timedelta(seconds=90)))
    sender = Sender(store, gateway, clock, SECONDS)
    queue(store, "one", clock.now())
    sender.drain()
    clock.move_by(timedelta(seconds=89))
    assert sender.drain() == 0
    clock.move_by(timedelta(seconds=1))
    assert sender.drain() == 1


def test_a_refused_message_does_not_hold_up_the_next_of_its_line(store: Store, clock: HandClock) -> None:
    queue(store, "one", clock.now())
    queue(store, "two", clock.now())
    gateway = Scripted(GatewayRefused("the gateway answered 400"))
    Sender(store, gateway, clock, SECONDS).drain()
    assert (gateway.taken, states(store)) == (["two"], ["failed", "sent"])


@pytest.mark.parametrize(
    "fault", [GatewayUnsure("no answer"), ZeroDivisionError("a fault in the gateway's code")]
)
@pytest.mark.parametrize(
    ("drops_repeats", "ends_as", "taken"), [(True, "sent", ["one"]), (False, "unsure", [])]
)
def test_an_unanswered_message_is_repeated_only_where_repeats_are_dropped(
    store: Store, clock: HandClock, fault: Exception, drops_repeats: bool, ends_as: str, taken: list[str]
) -> None:
    gateway = Scripted(fault, drops_repeats=drops_repeats)
    sender = Sender(store, gateway, clock, SECONDS)
    queue(store, "one", clock.now())
    for _ in range(10):
        sender.drain()
        clock.move_by(timedelta(minutes=1))
    assert (states(store), gateway.taken) == ([ends_as], taken)
    assert store.counts(clock.now()).unsure == (0 if drops_repeats else 1)


def test_a_silent_gateway_makes_few_messages_unsure_not_all(store: Store, clock: HandClock) -> None:
    for phone in range(50):
        queue(store, f"to {phone}", clock.now(), phone)
    sender = Sender(store, Scripted(*[GatewayUnsure("no answer")] * 50, drops_repeats=False), clock, SECONDS)
    for _ in range(10 * 60):
        sender.drain()
        clock.move_by(timedelta(seconds=1))
    counts = store.counts(clock.now())
    # At rests of 5, 15, then 60 s, ten minutes hold 12 tries.
    assert (counts.unsure, counts.queued) == (12, 38)


def test_an_outcome_that_cannot_be_written_is_written_before_anything_else_is_sent(
    store: Store, clock: HandClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    queue(store, "one", clock.now())
    queue(store, "two", clock.now(), phone=2)
    gateway = Scripted()
    sender = Sender(store, gateway, clock, SECONDS)
    mark_sent, full = store.outbox.mark_sent, [True]

    def on_a_full_disk(*args: Any) -> None:
        if full[0]:
            raise StoreFull("farm.db: database or disk is full")
        mark_sent(*args)

    monkeypatch.setattr(store.outbox, "mark_sent", on_a_full_disk)
    for _ in range(3):
        with pytest.raises(StoreFull):
            sender.drain()
    assert gateway.tried == ["one"]
    full[0] = False
    assert sender.drain() == 1
    assert (gateway.tried, states(store)) == (["one", "two"], ["sent", "sent"])


def test_a_dead_server_that_comes_back(
    operator: Any, make_gateway: Make, store: Store, clock: HandClock
) -> None:
    gateway = make_gateway()
    sender = Sender(store, gateway, clock, SECONDS)
    for text in ("one", "two"):
        queue(store, text, clock.now())
    operator.stop()
    for _ in range(3):
        assert sender.drain() == 0
        clock.move_by(timedelta(minutes=2))
    assert states(store) == ["queued", "queued"]
    operator.start()
    assert sender.drain() == 2
    assert [fields["body"] for _, fields in operator.requests] == ["one", "two"]
    sent = store.outbox.by_reference(operator.requests[0][1]["ref"])
    assert sent is not None
    assert (sent.state, sent.gateway_ref, sent.attempts, sent.error) == ("sent", "h-1", 4, None)


def test_the_thread_sends_when_woken_and_ends_when_told(store: Store, tmp_path: Path) -> None:
    arrived = threading.Semaphore(0)
    gateway = SimulatedGateway(lambda message: arrived.release())
    clock = SystemClock()
    senders = Senders(store, [gateway], clock, SECONDS)
    queue(store, "before the start", clock.now(), gateway="simulated")
    senders.start()
    assert arrived.acquire(timeout=20)
    queue(store, "while it runs", clock.now(), gateway="simulated")
    senders.wake()
    assert arrived.acquire(timeout=20)
    assert senders.stop(timeout_s=20)
    assert [message.text for message in gateway.sent] == ["before the start", "while it runs"]
    queue(store, "after the end", clock.now(), gateway="simulated")
    senders.wake()
    assert not arrived.acquire(timeout=0.05)


def test_the_thread_tries_again_by_itself(store: Store) -> None:
    arrived = threading.Event()
    clock = SystemClock()

    class Flaky(Scripted):
        def send(self, message: Outgoing) -> SendResult:
            result = super().send(message)
            arrived.set()
            return result

    queue(store, "one", clock.now())
    sender = Sender(store, Flaky(GatewayDown("x"), GatewayDown("x")), clock, [timedelta(milliseconds=20)])
    sender.start()
    assert arrived.wait(20)
    assert sender.stop(20)


def test_the_thread_outlives_a_database_in_trouble(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    arrived = threading.Event()
    gateway = SimulatedGateway(lambda message: arrived.set())
    clock = SystemClock()
    claim, troubles = store.outbox.claim, [StoreFull("full"), RuntimeError("a fault in the store")]

    def troubled(*args: Any, **more: Any) -> list[Outgoing]:
        if troubles:
            raise troubles.pop(0)
        return claim(*args, **more)

    monkeypatch.setattr(store.outbox, "claim", troubled)
    queue(store, "one", clock.now(), gateway="simulated")
    sender = Sender(store, gateway, clock, [timedelta(milliseconds=10)])
    sender.start()
    assert arrived.wait(20)
    assert sender.stop(20)


CHILD = """
import os, sys
from datetime import timedelta
sys.path.insert(0, {root!r})
from bot.clock import SystemClock
from bot.gateways import SendResult
from bot.sender import Sender
from bot.store import Store

class Gateway:
    name, drops_repeats = "harbour", {drops_repeats}
    def send(self, message):
        if {point!r} == "before sending":
            os._exit(9)
        with open({phone!r}, "a") as phone:
            phone.write(message.reference + " " + message.text + chr(10))
        if {point!r} == "after sending":
            os._exit(9)
        return SendResult(None)

store = Store.open({path!r})
sender = Sender(store, Gateway(), SystemClock(), [timedelta(seconds=1)])
if {point!r} == "before writing it down":
    store.outbox.mark_sent = lambda *args: os._exit(9)
sender.recover()
sender.drain()
os._exit(0)
"""


@pytest.mark.parametrize("point", ["before sending", "after sending", "before writing it down"])
@pytest.mark.parametrize("drops_repeats", [True, False])
def test_a_crash_at_any_point_of_sending(
    tmp_path: Path, now: datetime, point: str, drops_repeats: bool
) -> None:
    path, phone = tmp_path / "farm.db", tmp_path / "phone.txt"
    phone.touch()

    def run(point: str) -> int:
        known = {"root": str(ROOT), "drops_repeats": drops_repeats, "phone": str(phone), "path": str(path)}
        child = CHILD.format(point=point, **known)
        return subprocess.run([sys.executable, "-c", child], check=False, timeout=60).returncode

    with Store.open(path) as store:
        queue(store, "one", now)
        queue(store, "two", now)
    assert run(point) == 9
    assert run("nowhere") == 0
    calls = phone.read_text().splitlines()
    if drops_repeats:
        # The gateway sees "one" twice at most, under one reference, so the farmer sees it once.
        assert [call.split()[1] for call in dict.fromkeys(calls)] == ["one", "two"]
    else:
        assert [call.split()[1] for call in calls] == (
            ["two"] if point == "before sending" else ["one", "two"]
        )
    with Store.open(path) as store:
        counts = store.counts(datetime.now(UTC))
        assert (counts.queued, counts.sending, counts.unsure) == (0, 0, 0 if drops_repeats else 1)


def test_only_one_process_sends_out_of_a_database(tmp_path: Path) -> None:
    database = str(tmp_path / "farm.db")
    lock = SenderLock(database)
    lock.acquire()
    child = (
        f"import sys; sys.path.insert(0, {str(ROOT)!r})\n"
        "from bot.sender_lock import SenderLock, SenderRunning\n"
        f"try: SenderLock({database!r}).acquire()\n"
        "except SenderRunning as exc: print(exc)\n"
    )
    run = [sys.executable, "-c", child]
    told = subprocess.run(run, capture_output=True, text=True, check=True, timeout=60).stdout
    assert told == "another Warmheap already sends out of farm.db\n"
    with pytest.raises(SenderRunning):
        SenderLock(database).acquire()
    lock.release()
    assert subprocess.run(run, capture_output=True, text=True, check=True, timeout=60).stdout == ""
    SenderLock(":memory:").acquire()


def test_senders_hold_the_lock_while_they_run(store: Store) -> None:
    senders = Senders(store, [SimulatedGateway()], SystemClock(), SECONDS)
    senders.start()
    with pytest.raises(SenderRunning):
        Senders(store, [], SystemClock(), SECONDS).start()
    assert senders.stop(20)
    again = Senders(store, [], SystemClock(), SECONDS)
    again.start()
    assert again.stop(20)


def test_draining_without_threads_recovers_first(store: Store, clock: HandClock) -> None:
    stuck = queue(store, "one", clock.now())
    queue(store, "two", clock.now())
    store.outbox.claim("harbour", clock.now())
    gateway = Scripted()
    assert Sender(store, gateway, clock, SECONDS).drain() == 2
    assert (gateway.taken, store.outbox.get(stuck.line_id, stuck.out_no).attempts) == (["one", "two"], 2)  # type: ignore[union-attr]


def test_threads_that_drain_at_once_send_each_message_once_and_in_order(
    store: Store, clock: HandClock
) -> None:
    for i in range(40):
        queue(store, f"{i // 4:02d}-{i % 4}", clock.now(), phone=i // 4)
    gateway = Scripted()
    sender = Sender(store, gateway, clock, SECONDS)
    threads = [threading.Thread(target=sender.drain) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(gateway.taken) == [f"{i // 4:02d}-{i % 4}" for i in range(40)]
    for line in range(10):
        mine = [text for text in gateway.taken if text.startswith(f"{line:02d}")]
        assert mine == sorted(mine)


def test_the_simulated_gateway_drops_repeats(message: Outgoing) -> None:
    gateway = SimulatedGateway()
    gateway.send(message)
    gateway.send(message)
    assert gateway.sent == [message]
    gateway.down = True
    with pytest.raises(GatewayDown, match="simulated network is down"):
        gateway.send(message)
