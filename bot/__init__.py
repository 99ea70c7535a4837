"""Warmheap: compost advice by SMS and chat. Importing this opens nothing and reads nothing.

config = read_config(path)
bot = open_bot(config, SystemClock(), gateways)     # everything behind the gateways
app = create_app(config)                            # the same with webhooks, as a Flask app
"""

from __future__ import annotations

import os
from collections.abc import Sequence

from flask import Flask

from bot.clock import Clock, HandClock, SystemClock
from bot.config import Config, read_config
from bot.datafile import BadFile
from bot.gateways import Gateway, SimulatedGateway, read_gateways
from bot.messages import Inbound, LogEntry, Outgoing, Receipt
from bot.service import Bot
from bot.store import StoreError
from bot.web.app import create_app as web_app

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
    "StoreError",
    "SystemClock",
    "create_app",
    "open_bot",
    "read_config",
]


def open_bot(config: Config, clock: Clock, gateways: Sequence[Gateway] = ()) -> Bot:
    """Read dialogues, word lists and catalogs, and open the database.

    gateways : ways out; without any, messages go to a simulated phone.
    Raises BadFile (with file and line) for a data file that cannot be used, StoreError for the database.
    """
    return Bot(config, clock, gateways or [SimulatedGateway()])


def create_app(config: Config, clock: Clock | None = None) -> Flask:
    """The Flask app for a configuration: webhooks of its gateways, and health. Starts no thread.

    Raises BadFile, StoreError as `open_bot` does.
    """
    gateways = read_gateways(config.gateways, os.environ)
    bot = open_bot(config, clock or SystemClock(), list(gateways.values()))
    return web_app(bot, gateways, max_body_bytes=config.max_body_bytes)
