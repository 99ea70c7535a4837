"""The Flask app: gateways' webhooks and health."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from flask import Flask

from ..clock import Clock
from ..gateways import Webhook
from ..messages import Inbound, Receipt
from ..store import Store
from .errors import register_errors
from .health import health_page
from .webhooks import webhook_pages

MAX_BODY_BYTES = 65536


class Receiver(Protocol):
    """The bot as the web sees it."""

    @property
    def store(self) -> Store: ...

    @property
    def clock(self) -> Clock: ...

    def receive(self, inbound: Inbound) -> Receipt:
        """Take a message in one transaction. Raises StoreBusy, StoreFull with nothing half done."""
        ...


def create_app(
    bot: Receiver, gateways: Mapping[str, Webhook], *, max_body_bytes: int = MAX_BODY_BYTES
) -> Flask:
    """The app for a bot and the gateways that call it, by name. Opens nothing and starts no thread."""
    app = Flask("bot.web", static_folder=None)
    app.config["MAX_CONTENT_LENGTH"] = max_body_bytes
    register_errors(app)
    app.register_blueprint(webhook_pages(bot.receive, bot.store, bot.clock, gateways))
    app.register_blueprint(health_page(bot.store, bot.clock))
    return app
