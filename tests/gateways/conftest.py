"""A profile, and an operator's server on this machine that behaves as a test tells it."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import parse_qs

import pytest

from bot.gateways import HttpGateway
from bot.messages import Outgoing
from bot.store import Store

PROFILE = """
name = "harbour"
drops_repeats = {drops_repeats}
region = "GB"

[check]
kind = "hmac_sha256"
header = "X-Harbour-Signature"
prefix = "sha256="
secret_env = "HARBOUR_SECRET"

[inbound]
phone = "form:from"
text = "form:text"
id = "form:id"
time = "form:at"

[receipt]
reference = "form:ref"
state = "form:state"
delivered = ["DELIVERED"]
failed = ["EXPIRED", "REJECTED"]
reason = "form:why"

[outbound]
url = "http://127.0.0.1:{port}/send"
timeout_s = 0.5
[outbound.fields]
to = "{{phone}}"
body = "{{text}}"
ref = "{{reference}}"
[outbound.headers]
Authorization = "Bearer {{key}}"
[outbound.secrets]
key = "HARBOUR_KEY"
[outbound.answer]
gateway_ref = "json:messages.0.id"
"""
ENVIRON = {"HARBOUR_SECRET": "Jefe", "HARBOUR_KEY": "open sesame"}


class Operator:
    """An SMS operator: what came in, and how to answer. An answer of None closes the connection unanswered."""

    def __init__(self) -> None:
        self.requests: list[tuple[dict[str, str], dict[str, str]]] = []
        self.bodies: list[str] = []
        self.answer: Callable[[], tuple[int, dict[str, str], bytes] | None] = self.take
        self.arrived = threading.Event()
        self._server: ThreadingHTTPServer | None = None
        self.port = 0
        self.start()

    def take(self) -> tuple[int, dict[str, str], bytes]:
        return 200, {}, json.dumps({"messages": [{"id": f"h-{len(self.requests)}"}]}).encode()

    def start(self) -> None:
        operator = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                body = self.rfile.read(int(self.headers["Content-Length"])).decode()
                fields = {name: values[0] for name, values in parse_qs(body, keep_blank_values=True).items()}
                operator.bodies.append(body)
                operator.requests.append((dict(self.headers), fields))
                answer = operator.answer()
                operator.arrived.set()
                if answer is None:
                    self.close_connection = True
                    return
                status, headers, content = answer
                self.send_response(status)
                for name, value in ({"Content-Length": str(len(content))} | headers).items():
                    self.send_header(name, value)
                self.end_headers()
                self.wfile.write(content)

            def log_message(self, *_: object) -> None:
                pass

        ThreadingHTTPServer.allow_reuse_address = True
        self._server = ThreadingHTTPServer(("127.0.0.1", self.port), Handler)
        self.port = self._server.server_address[1]
        threading.Thread(
            target=self._server.serve_forever, kwargs={"poll_interval": 0.01}, daemon=True
        ).start()

    def stop(self) -> None:
        """The network is gone: connections are refused until `start`."""
        if self._server is not None:
            self._server.shutdown()
            self._server.server_close()
            self._server = None


@pytest.fixture
def operator() -> Iterator[Operator]:
    running = Operator()
    yield running
    running.stop()


@pytest.fixture
def profile_text() -> str:
    return PROFILE


@pytest.fixture
def environ() -> dict[str, str]:
    return dict(ENVIRON)


@pytest.fixture
def make_gateway(tmp_path: Path, operator: Operator) -> Iterator[Callable[..., HttpGateway]]:
    made: list[HttpGateway] = []

    def make(text: str = PROFILE, *, drops_repeats: bool = True) -> HttpGateway:
        path = tmp_path / "harbour.toml"
        path.write_text(text.format(port=operator.port, drops_repeats=str(drops_repeats).lower()))
        made.append(HttpGateway.read(path, ENVIRON))
        return made[-1]

    yield make
    for gateway in made:
        gateway.close()


@pytest.fixture
def now() -> datetime:
    return datetime(2026, 3, 2, 5, 30, tzinfo=UTC)


@pytest.fixture
def message(now: datetime) -> Outgoing:
    return Outgoing(
        line_id=1, out_no=2, reference="ab12-1-2", gateway="harbour", phone="+447700900001",
        text="Give 2 {buckets} & stir: ñ €", segments=1, encoding="GSM-7", why="reply", queued_at=now,
    )  # fmt: skip


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "farm.db") as opened:
        yield opened
