"""Warmheap: compost advice by SMS and chat. Importing this opens nothing and reads nothing.

config = read_config(path)
bot = open_bot(config, SystemClock(), gateways)     # everything behind the gateways
app = create_app(config)                            # the same with webhooks, as a Flask app
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.clock import Clock, HandClock, SystemClock
from bot.config import Config, read_config
from bot.datafile import BadFile
from bot.gateways.base import Gateway
from bot.gateways.simulated import SimulatedGateway
from bot.messages import Inbound, LogEntry, Outgoing, Receipt
from bot.service import Bot

__all__ = [
    "BadFile",
    "Bot",
    "Clock",
    "Config",
    "Gateway",
    "HandClock",
    "Inbound",
    "LogEntry",
    "Outgoing",
    "Receipt",
    "SimulatedGateway",
    "SystemClock",
    "open_bot",
    "read_config",
]


def open_bot(config: Config, clock: Clock, gateways: Sequence[Gateway] = ()) -> Bot:
    """Read dialogues, word lists and catalogs, and open the database.

    gateways : ways out; without any, messages go to a simulated phone.
    Raises BadFile (with file and line) for a data file that cannot be used, StoreError for the database.
    """
    return Bot(config, clock, gateways or [SimulatedGateway()])
