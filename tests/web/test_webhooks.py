"""The webhooks and health over the WSGI app, with a small service behind them in place of the dialogues."""

from __future__ import annotations

import hashlib
import hmac
import sqlite3
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient

from bot.clock import HandClock
from bot.gateways import HttpGateway
from bot.messages import Inbound, Receipt
from bot.store import Store
from bot.web.app import create_app

PROFILE = """
name = "harbour"
[check]
kind = "hmac_sha256"
header = "X-Mark"
secret_env = "HARBOUR_SECRET"
[inbound]
phone = "form:from"
text = "form:text"
id = "form:id"
[receipt]
reference = "form:ref"
state = "form:state"
delivered = ["DELIVERED"]
failed = ["EXPIRED"]
[outbound]
url = "http://127.0.0.1:1/send"
fields = { to = "{phone}", body = "{text}" }
"""
SECRET = "open sesame"


class Echo:
    """Takes a message and queues one reply, as the real service does, in one transaction."""

    def __init__(self, store: Store, clock: HandClock) -> None:
        self.store, self.clock = store, clock
        self.fault: Exception | None = None

    def receive(self, inbound: Inbound) -> Receipt:
        with self.store.transaction():
            receipt = self.store.inbox.record(inbound, self.clock.now(), timedelta(minutes=2))
            if not receipt.repeated:
                self.store.outbox.queue(
                    receipt.line_id, f"You wrote {inbound.text}", self.clock.now(), segments=1,
                    encoding="GSM-7", why="reply", reply_to=receipt.in_no,
                )  # fmt: skip
            if self.fault:
                raise self.fault
        return receipt


@pytest.fixture
def service(tmp_path: Path) -> Iterator[Echo]:
    with Store.open(tmp_path / "farm.db", busy_timeout_s=0.05) as store:
        yield Echo(store, HandClock(datetime(2026, 3, 2, 5, 30, tzinfo=UTC)))


@pytest.fixture
def client(service: Echo, tmp_path: Path) -> Iterator[FlaskClient]:
    path = tmp_path / "harbour.toml"
    path.write_text(PROFILE)
    gateway = HttpGateway.read(path, {"HARBOUR_SECRET": SECRET})
    yield create_app(service, {"harbour": gateway}, max_body_bytes=5000).test_client()
    gateway.close()


def post(client: FlaskClient, page: str, fields: dict[str, str], secret: str | None = SECRET) -> Any:
    body = urlencode(fields).encode()
    headers = {"Content-Type": "application/x-www-form-urlencoded"}
    if secret is not None:
        headers["X-Mark"] = hmac.new(secret.encode(), body, hashlib.sha256).hexdigest()
    return client.post(f"/gateways/{page}", data=body, headers=headers)


def deliver(client: FlaskClient, text: str = "JOIN", **changes: str) -> Any:
    return post(client, "harbour/messages", {"from": "+447700900001", "text": text, "id": "m1"} | changes)


def test_a_delivery_is_answered_when_its_reply_is_committed(
    client: FlaskClient, service: Echo, tmp_path: Path
) -> None:
    answer = deliver(client)
    assert (answer.status_code, answer.json) == (200, {"line": 1, "message": 1, "repeated": False})
    reader = sqlite3.connect(tmp_path / "farm.db")
    assert reader.execute("SELECT text, state, reply_to FROM outbox").fetchall() == [
        ("You wrote JOIN", "queued", 1)
    ]
    reader.close()


def test_the_same_delivery_ten_times(client: FlaskClient, service: Echo) -> None:
    answers = [deliver(client) for _ in range(10)]
    assert [answer.status_code for answer in answers] == [200] * 10
    assert [answer.json["repeated"] for answer in answers] == [False] + [True] * 9
    assert {answer.json["message"] for answer in answers} == {1}
    assert len(service.store.transcript()) == 2


def test_concurrent_deliveries_from_one_phone(client: FlaskClient, service: Echo) -> None:
    app = client.application
    statuses: list[int] = []

    def work(worker: int) -> None:
        mine = app.test_client()
        for i in range(8):
            fields = {"from": "+447700900001", "text": f"{i}", "id": f"m{i}"}
            status = 503
            while status == 503:  # as a gateway does: again until it is taken
                status = post(mine, "harbour/messages", fields).status_code
            statuses.append(status)

    threads = [threading.Thread(target=work, args=(worker,)) for worker in range(5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert statuses == [200] * 40
    talk = service.store.transcript("+447700900001")
    assert sorted(entry.text for entry in talk if entry.direction == "in") == [f"{i}" for i in range(8)]
    assert [entry.direction for entry in talk] == ["in", "out"] * 8


def test_an_unknown_gateway(client: FlaskClient) -> None:
    for page in ("hill/messages", "hill/receipts"):
        answer = post(client, page, {"from": "+447700900001", "text": "x"})
        assert (answer.status_code, answer.json) == (404, {"error": "no gateway of this name"})


@pytest.mark.parametrize(
    ("secret", "status", "reason"), [(None, 401, "no signature"), ("guess", 403, "wrong signature")]
)
def test_a_wrong_signature(
    client: FlaskClient, service: Echo, secret: str | None, status: int, reason: str
) -> None:
    fields = {"from": "+447700900001", "text": "x", "ref": "x", "state": "DELIVERED"}
    for page in ("harbour/messages", "harbour/receipts"):
        answer = post(client, page, fields, secret)
        assert (answer.status_code, answer.json) == (status, {"error": reason})
    assert service.store.lines.all() == []


@pytest.mark.parametrize(
    ("fields", "reason"),
    [
        ({}, "form:from: missing"),
        ({"from": "Asha", "text": "<b>"}, "form:from: the sender is not a phone number"),
    ],
)
def test_a_malformed_delivery(client: FlaskClient, fields: dict[str, str], reason: str) -> None:
    answer = post(client, "harbour/messages", fields)
    assert answer.status_code == 400
    assert answer.json["error"].startswith(reason)
    assert answer.content_type == "application/json"


def test_a_body_that_is_too_long(client: FlaskClient, service: Echo) -> None:
    answer = deliver(client, "x" * 6000)
    assert (answer.status_code, answer.json) == (413, {"error": "the body is too long"})
    assert service.store.lines.all() == []


@pytest.mark.parametrize(
    ("method", "path", "status"), [("get", "/gateways/harbour/messages", 405), ("get", "/", 404)]
)
def test_other_addresses_answer_in_json(client: FlaskClient, method: str, path: str, status: int) -> None:
    answer = getattr(client, method)(path)
    assert answer.status_code == status
    assert list(answer.json) == ["error"]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "x" * 1000,
        "🌱🔥",
        "\x00\x07\x1b",
        "سماد \u202e",
        "'; DROP TABLE lines;--",
        "<script>",
        "=1+1",
        "%s {0} \\",
    ],
)
def test_any_text_is_taken_whole(client: FlaskClient, service: Echo, text: str) -> None:
    assert deliver(client, text).status_code == 200
    assert [entry.text for entry in service.store.transcript()] == [text, f"You wrote {text}"]


def test_a_locked_database_is_503_and_the_next_delivery_is_taken(
    client: FlaskClient, service: Echo, tmp_path: Path
) -> None:
    other = sqlite3.connect(tmp_path / "farm.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    answer = deliver(client)
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "5")
    assert answer.json == {"error": "the database is busy; deliver this again later"}
    other.execute("ROLLBACK")
    other.close()
    assert deliver(client).json["repeated"] is False


def test_a_full_database_is_503_with_nothing_half_done(client: FlaskClient, service: Echo) -> None:
    with service.store._db._connection() as tables:
        tables.conn.execute("PRAGMA max_page_count = 1")  # SQLite raises it to the pages in use
    answers = [deliver(client, "x" * 3000, id=f"m{i}") for i in range(60)]
    refused = [answer for answer in answers if answer.status_code == 503]
    assert refused
    assert {answer.headers["Retry-After"] for answer in refused} == {"60"}
    assert "cannot be written" in refused[0].json["error"]
    talk = service.store.transcript()
    assert [entry.direction for entry in talk] == ["in", "out"] * (60 - len(refused))
    with service.store._db._connection() as tables:
        tables.conn.execute("PRAGMA max_page_count = 1000000")
    again = [deliver(client, "x" * 3000, id=f"m{i}").json["repeated"] for i in range(60)]
    assert again.count(False) == len(refused)
    assert len(service.store.transcript()) == 120


def test_a_fault_in_the_service_keeps_nothing_and_shows_nothing(client: FlaskClient, service: Echo) -> None:
    service.fault = RuntimeError("secret detail")
    answer = deliver(client)
    assert (answer.status_code, answer.json) == (500, {"error": "internal server error"})
    assert service.store.transcript() == []
    service.fault = None
    assert deliver(client).json == {"line": 1, "message": 1, "repeated": False}


def test_a_receipt_closes_the_message(client: FlaskClient, service: Echo) -> None:
    deliver(client)
    (message,) = service.store.outbox.claim("harbour", service.clock.now())
    service.store.outbox.mark_sent(message, service.clock.now(), None)
    told = {"ref": message.reference, "state": "BUFFERED"}
    assert post(client, "harbour/receipts", told).json == {"changed": False}
    assert post(client, "harbour/receipts", told | {"state": "DELIVERED"}).json == {"changed": True}
    assert [entry.state for entry in service.store.transcript()] == [None, "delivered"]
    unknown = post(client, "harbour/receipts", told | {"ref": "zz", "state": "DELIVERED"})
    assert (unknown.status_code, unknown.json) == (404, {"error": "no message of this reference"})


def test_health_counts_and_tells_how_long_the_oldest_waits(client: FlaskClient, service: Echo) -> None:
    assert client.get("/health").json["status"] == "ok"
    deliver(client)
    service.clock.move_by(timedelta(minutes=16))
    told = client.get("/health").json
    assert (told["status"], told["queued"], told["oldest_queued_s"], told["lines"]) == ("behind", 1, 960.0, 1)
    (message,) = service.store.outbox.claim("harbour", service.clock.now())
    service.store.outbox.mark_unsure(message, service.clock.now(), "no answer")
    told = client.get("/health")
    assert (told.json["status"], told.json["unsure"], told.json["queued"]) == ("look", 1, 0)
    assert not {"+44", "JOIN", "sesame", "harbour"} & set(told.text.split('"'))
    assert "+44" not in told.text
