"""The simulator's gateway: phones that live in this process."""

from __future__ import annotations

from collections.abc import Callable

from ..messages import Outgoing
from .base import GatewayDown, SendResult

SIMULATED = "simulated"


class SimulatedGateway:
    """Keeps what was sent, in order, and tells a listener. `down` makes it refuse, as a dead network does."""

    name = SIMULATED
    drops_repeats = True

    def __init__(self, listener: Callable[[Outgoing], None] | None = None, *, chat: bool = False) -> None:
        self.chat = chat
        self.sent: list[Outgoing] = []
        self.down = False
        self._listener = listener
        self._references: set[str] = set()

    def send(self, message: Outgoing) -> SendResult:
        """Raises GatewayDown while `down`."""
        if self.down:
            raise GatewayDown("the simulated network is down")
        if message.reference not in self._references:
            self._references.add(message.reference)
            self.sent.append(message)
            if self._listener:
                self._listener(message)
        return SendResult(f"simulated-{message.reference}")
