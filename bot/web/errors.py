"""Every refusal is JSON with a plain reason, and never repeats what was sent."""

from __future__ import annotations

import logging
from typing import Any

from flask import Flask, Response, jsonify
from werkzeug.exceptions import HTTPException

from ..gateways import BadCall, BadSignature
from ..store import StoreBusy, StoreError

log = logging.getLogger(__name__)

_REASONS = {
    400: "the request cannot be read",
    404: "there is nothing at this address",
    405: "this address takes other methods",
    413: "the body is too long",
}


def refusal(status: int, reason: str, retry_after_s: int | None = None) -> Response:
    """An answer that says why. retry_after_s : when to try again. [s]"""
    response = jsonify(error=reason)
    response.status_code = status
    if retry_after_s is not None:
        response.headers["Retry-After"] = str(retry_after_s)
    return response


def register_errors(app: Flask) -> None:
    """What each error of the inner rooms is in HTTP."""

    @app.errorhandler(BadSignature)
    def unsigned(exc: BadSignature) -> Response:
        return refusal(401 if exc.missing else 403, str(exc))

    @app.errorhandler(BadCall)
    def malformed(exc: BadCall) -> Response:
        return refusal(400, str(exc))

    @app.errorhandler(StoreError)
    def unwritten(exc: StoreError) -> Response:
        # Nothing was kept, so the gateway may simply deliver again.
        log.error("answering 503: %s", exc)
        busy = isinstance(exc, StoreBusy)
        reason = "the database is busy" if busy else "the database cannot be written"
        return refusal(503, f"{reason}; deliver this again later", 5 if busy else 60)

    @app.errorhandler(HTTPException)
    def refused(exc: HTTPException) -> Response | Any:
        status = exc.code or 500
        return refusal(status, _REASONS.get(status, exc.name.lower()))
