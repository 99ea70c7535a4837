"""The page: one HTML file, and JSON for all that moves on it."""

from __future__ import annotations

from collections.abc import Callable
from threading import Lock
from typing import Any

import msgspec
from flask import Flask, Response, jsonify, render_template, request
from werkzeug.exceptions import HTTPException

from .guard import guard
from .script import DEFAULT_PHONE, ScriptError, check_rain, check_span, parse_phone
from .season import Season
from .views import Tariff, page_state

LARGEST_BODY = 100_000
"""Bytes of one request; far above any text message."""


class SayBody(msgspec.Struct, forbid_unknown_fields=True):
    """A farmer's text."""

    phone: str
    text: str


class MoveBody(msgspec.Struct, forbid_unknown_fields=True):
    """Time passes. [h] None: up to the next reminder."""

    phone: str
    hours: float | None = None


class RainBody(msgspec.Struct, forbid_unknown_fields=True):
    """Rain falls. [mm]"""

    phone: str
    mm: float


def create_page(season: Season, tariff: Tariff) -> Flask:
    """The Flask app of the page. Requests take turns, since there is one clock."""
    app = Flask(__name__)
    app.config["MAX_CONTENT_LENGTH"] = LARGEST_BODY
    app.json.sort_keys = False  # type: ignore[attr-defined]  # what the bot knows comes in its own order
    guard(app)
    app.register_error_handler(HTTPException, _http_error)
    app.register_error_handler(ScriptError, _bad_request)
    app.register_error_handler(msgspec.DecodeError, _bad_request)
    _add_routes(app, season, tariff, Lock())
    return app


def _add_routes(app: Flask, season: Season, tariff: Tariff, turn: Lock) -> None:
    def answer(phone: str, act: Callable[[str], None]) -> Response:
        """Do one thing and show what came of it."""
        number = parse_phone(phone)
        with turn:
            act(number)
            return jsonify(page_state(season, tariff, number))

    @app.get("/")
    def page() -> str:
        return render_template("page.html")

    @app.get("/state")
    def state() -> Response:
        return answer(request.args.get("phone", DEFAULT_PHONE), lambda number: None)

    @app.post("/say")
    def say() -> Response:
        body = msgspec.json.decode(request.get_data(), type=SayBody)
        return answer(body.phone, lambda number: season.say(number, body.text))

    @app.post("/move")
    def move() -> Response:
        body = msgspec.json.decode(request.get_data(), type=MoveBody)
        if body.hours is None:
            return answer(body.phone, lambda number: season.move_to_next())
        span = check_span(body.hours)
        return answer(body.phone, lambda number: season.move(span))

    @app.post("/rain")
    def rain() -> Response:
        body = msgspec.json.decode(request.get_data(), type=RainBody)
        mm = check_rain(body.mm)
        return answer(body.phone, lambda number: season.rain(mm))


def _http_error(error: HTTPException) -> tuple[dict[str, Any], int]:
    return {"error": error.description or error.name}, error.code or 500


def _bad_request(error: Exception) -> tuple[dict[str, Any], int]:
    return {"error": str(error)}, 400
