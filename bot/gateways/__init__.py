"""Ways to phones: HTTP gateways described by profiles, and the simulator's."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from ..datafile import BadFile
from .base import (
    BadCall,
    BadSignature,
    Call,
    DeliveryReceipt,
    Gateway,
    GatewayDown,
    GatewayError,
    GatewayRefused,
    GatewayUnsure,
    SendResult,
    Webhook,
)
from .http import HttpGateway
from .phones import BadPhone, to_e164
from .simulated import SIMULATED, SimulatedGateway

__all__ = [
    "SIMULATED",
    "BadCall",
    "BadPhone",
    "BadSignature",
    "Call",
    "DeliveryReceipt",
    "Gateway",
    "GatewayDown",
    "GatewayError",
    "GatewayRefused",
    "GatewayUnsure",
    "HttpGateway",
    "SendResult",
    "SimulatedGateway",
    "Webhook",
    "read_gateways",
    "to_e164",
]


def read_gateways(paths: Iterable[str], environ: Mapping[str, str]) -> dict[str, HttpGateway]:
    """The gateways of a configuration, by name. Raises BadFile, also when two have one name."""
    gateways: dict[str, HttpGateway] = {}
    for path in paths:
        gateway = HttpGateway.read(Path(path), environ)
        if gateway.name in {*gateways, SIMULATED}:
            raise BadFile(path, None, "name", f"another gateway is called {gateway.name!r}")
        gateways[gateway.name] = gateway
    return gateways
