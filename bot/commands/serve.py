"""`python -m bot serve`: answer the gateways of a configuration until Ctrl-C."""

from __future__ import annotations

import argparse
import gc
import logging
import os
import sys
from collections.abc import Sequence
from pathlib import Path

import waitress

from bot import BadFile, SystemClock, open_bot, read_config
from bot.gateways import read_gateways
from bot.reminders.loop import DueLoop
from bot.sender_lock import SenderRunning
from bot.store import StoreError
from bot.web.app import create_app


def main(argv: Sequence[str]) -> int:
    """Returns 0 after Ctrl-C, 2 with a line of explanation when something cannot be used."""
    chosen = _parser().parse_args(argv)
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(levelname)s %(name)s: %(message)s")
    try:
        config = read_config(chosen.config)
        gateways = read_gateways(config.gateways, os.environ)
        bot = open_bot(config, SystemClock(), list(gateways.values()))
    except (BadFile, StoreError) as exc:
        print(f"bot: {exc}", file=sys.stderr)
        return 2
    # Word lists and dialogues stay for good: left out of garbage collection, they cause no pauses of 50 ms.
    gc.freeze()
    if not gateways:
        print("bot: the configuration names no gateway; see docs/gateways.md", file=sys.stderr)
        return 2
    loop = DueLoop(bot, bot.senders.wake)
    bot.on_change(bot.senders.wake, loop.wake)
    try:
        bot.senders.start()
    except SenderRunning as exc:
        print(f"bot: {exc}", file=sys.stderr)
        bot.close()
        return 2
    loop.start()
    print(f"Warmheap answers on http://{chosen.host}:{chosen.port}/gateways/<name>/messages", flush=True)
    try:
        waitress.serve(
            create_app(bot, gateways, max_body_bytes=config.max_body_bytes),
            host=chosen.host,
            port=chosen.port,
        )
    finally:
        loop.stop()
        bot.senders.stop()
        bot.close()
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m bot serve", description="Answer the gateways of a configuration."
    )
    parser.add_argument("--config", type=Path, required=True, help="TOML file, see docs/configuration.md")
    parser.add_argument("--host", default="127.0.0.1", help="default: %(default)s")
    parser.add_argument("--port", type=int, default=8024, help="default: %(default)s")
    return parser
