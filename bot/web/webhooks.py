"""Where gateways deliver farmers' messages and receipts."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from flask import Blueprint, Response, jsonify, request

from ..clock import Clock
from ..gateways import Call, Webhook
from ..messages import Inbound, Receipt
from ..store import Store
from .errors import refusal


def webhook_pages(
    receive: Callable[[Inbound], Receipt], store: Store, clock: Clock, gateways: Mapping[str, Webhook]
) -> Blueprint:
    """POST /gateways/<name>/messages and POST /gateways/<name>/receipts."""
    pages = Blueprint("webhooks", __name__, url_prefix="/gateways")

    @pages.post("/<name>/messages")
    def take_message(name: str) -> Response:
        if (gateway := gateways.get(name)) is None:
            return refusal(404, "no gateway of this name")
        receipt = receive(gateway.read_message(_call(), clock.now()))
        return jsonify(line=receipt.line_id, message=receipt.in_no, repeated=receipt.repeated)

    @pages.post("/<name>/receipts")
    def take_receipt(name: str) -> Response:
        if (gateway := gateways.get(name)) is None:
            return refusal(404, "no gateway of this name")
        told = gateway.read_receipt(_call())
        if told is None:
            return jsonify(changed=False)
        known = store.outbox.take_receipt(
            gateway.name, told.outcome, clock.now(), reference=told.reference, gateway_ref=told.gateway_ref,
            reason=told.reason,
        )  # fmt: skip
        return jsonify(changed=True) if known else refusal(404, "no message of this reference")

    return pages


def _call() -> Call:
    # The body first, and kept: a signature is over its bytes, which reading the form would use up.
    body = request.get_data(cache=True)
    return Call(
        headers={name.lower(): value for name, value in request.headers.items()},
        query=request.args.to_dict(),
        form=request.form.to_dict(),
        body=body,
    )
