"""Inbound webhook to committed reply, against a bare Flask handler that commits two rows.

Both sides are called as WSGI apps with the same request, on database files of the same settings on the same
disk (WAL, synchronous FULL), in turns, so that a slow moment of the disk meets both.
"""

from __future__ import annotations

import io
import sqlite3
import statistics
import tempfile
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from flask import Flask, jsonify, request

import bot
from bot.clock import HandClock
from bot.gateways import HttpGateway, SimulatedGateway
from bot.web.app import create_app
from tests.bench_row import Row, seconds

WANTED = 0.25
ROUNDS, PHONES = 12, 8
TALK = (
    "JOIN", "1", "Asha", "Milldale", "yes", "how much manure for a pile 2 by 2 by 2", "MANURE 2x2x2 goat",
    "plan", "1.5 x 1.5 x 1.5", "maize stalks, goat manure and green leaves", "bucket of 20 litres", "stick is cold",
    "no", "dry", "HELP", "stick is warm", "what is this", "58C",
)  # fmt: skip
"""A talk as it comes: easy and hard messages, answers and questions out of the blue."""
PROFILE = """
name = "bench"
check = { kind = "shared_secret", place = "header:X-Secret", secret_env = "SECRET" }
inbound = { phone = "form:from", text = "form:text", id = "form:id" }
[outbound]
url = "http://127.0.0.1:1/"
fields = { to = "{phone}", body = "{text}" }
"""


def measure() -> Row:
    """Throughput of the bot over that of the floor, median of several rounds."""
    with tempfile.TemporaryDirectory() as folder:
        floor, close_floor = _floor(Path(folder) / "floor.db")
        app, service, clock = open_bench_bot(Path(folder))
        ratios, bot_s, floor_s = [], [], []
        for number in range(ROUNDS):
            bodies = list(_bodies(number))
            floor_s.append(seconds(lambda bodies=bodies: [post(floor, "/take", body) for body in bodies]))
            bot_s.append(
                seconds(lambda bodies=bodies: [post(app, "/gateways/bench/messages", b) for b in bodies])
            )
            ratios.append(floor_s[-1] / bot_s[-1])
            clock.move_by(timedelta(hours=1))
        replies = len([entry for entry in service.transcript() if entry.direction == "out"])
        service.close()
        close_floor.close()
    sent = ROUNDS * PHONES * len(TALK)
    assert replies >= sent * 0.9, f"only {replies} replies to {sent} messages: the bot did not do its work"
    count = PHONES * len(TALK)
    ratio = statistics.median(ratios)
    figures = (
        f"{count / statistics.median(bot_s):.0f}/s of {count / statistics.median(floor_s):.0f}/s,"
        f" rounds {min(ratios):.2f} to {max(ratios):.2f}"
    )
    return Row("webhook to committed reply", ratio, ratio >= WANTED, f">= {WANTED}", figures)


def _bodies(number: int) -> Iterator[bytes]:
    """The deliveries of a round: new phones each time, their talks side by side."""
    for step, text in enumerate(TALK):
        for phone in range(PHONES):
            sender = f"+4477009{number * PHONES + phone:05d}"
            yield urlencode({"from": sender, "text": text, "id": f"{number}-{phone}-{step}"}).encode()


def open_bench_bot(folder: Path) -> tuple[Flask, bot.Bot, HandClock]:
    profile = folder / "bench.toml"
    profile.write_text(PROFILE)
    gateway = HttpGateway.read(profile, {"SECRET": "open sesame"})
    clock = HandClock(datetime(2026, 3, 2, 8, 0, tzinfo=UTC))
    service = bot.open_bot(bot.Config(database=str(folder / "bot.db")), clock, [SimulatedGateway()])
    return create_app(service, {"bench": gateway}), service, clock


def _floor(path: Path) -> tuple[Flask, sqlite3.Connection]:
    """The least that any bot must do: take a form, write what came and what goes, commit, answer."""
    conn = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    for setting in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON"):
        conn.execute(f"PRAGMA {setting}")
    conn.execute("CREATE TABLE inbox (id INTEGER PRIMARY KEY, phone TEXT, text TEXT, gateway_id TEXT UNIQUE)")
    conn.execute("CREATE TABLE outbox (id INTEGER PRIMARY KEY, phone TEXT, text TEXT, state TEXT)")
    app = Flask("floor", static_folder=None)

    @app.post("/take")
    def take() -> Any:
        phone, text = request.form["from"], request.form["text"]
        conn.execute("BEGIN IMMEDIATE")
        conn.execute(
            "INSERT INTO inbox (phone, text, gateway_id) VALUES (?, ?, ?)", (phone, text, request.form["id"])
        )
        conn.execute(
            "INSERT INTO outbox (phone, text, state) VALUES (?, ?, 'queued')", (phone, f"You wrote: {text}")
        )
        conn.execute("COMMIT")
        return jsonify(ok=True)

    return app, conn


def post(app: Flask, path: str, body: bytes) -> None:
    """One request straight into the app, since a test client would cost both sides more than the floor itself."""
    status: list[str] = []

    def start(line: str, headers: Any, exc_info: Any = None) -> Any:
        status.append(line)

    environ = {
        "REQUEST_METHOD": "POST", "PATH_INFO": path, "QUERY_STRING": "", "SERVER_NAME": "localhost",
        "SERVER_PORT": "80", "SERVER_PROTOCOL": "HTTP/1.1", "wsgi.version": (1, 0), "wsgi.url_scheme": "http",
        "wsgi.input": io.BytesIO(body), "wsgi.errors": io.StringIO(), "wsgi.multithread": True,
        "wsgi.multiprocess": False, "wsgi.run_once": False, "CONTENT_LENGTH": str(len(body)),
        "CONTENT_TYPE": "application/x-www-form-urlencoded", "HTTP_X_SECRET": "open sesame",
    }  # fmt: skip
    answer: Iterable[bytes] = app.wsgi_app(environ, start)
    content = b"".join(answer)
    if hasattr(answer, "close"):
        answer.close()
    assert status[0].startswith("200"), (status, content)
