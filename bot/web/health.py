"""GET /health, for whoever watches over the service."""

from __future__ import annotations

from datetime import timedelta

import msgspec
from flask import Blueprint, Response, jsonify

from ..clock import Clock
from ..store import Counts, Store

BEHIND_AFTER = timedelta(minutes=15)
"""A message that waits longer than this shows that a gateway or the sender stands still."""


def health_page(store: Store, clock: Clock) -> Blueprint:
    """Counts only: no phone number, no text, no secret."""
    page = Blueprint("health", __name__)

    @page.get("/health")
    def health() -> Response:
        now = clock.now()
        counts = store.counts(now)
        waited = now - counts.oldest_queued_at if counts.oldest_queued_at else timedelta(0)
        return jsonify(
            status=_status(counts, waited),
            oldest_queued_s=max(0.0, waited.total_seconds()),
            **msgspec.to_builtins(counts),
        )

    return page


def _status(counts: Counts, waited: timedelta) -> str:
    if waited > BEHIND_AFTER:
        return "behind"
    return "look" if counts.unsure else "ok"
