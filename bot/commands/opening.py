"""Opens the bot for a command that looks into its database or writes to it."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from bot import BadFile, Bot, StoreError, SystemClock, open_bot, read_config


class CannotOpen(Exception):
    """The configuration or the database cannot be used; the text says why."""


def config_option(parser: argparse.ArgumentParser) -> argparse.ArgumentParser:
    """Adds --config, which every such command has."""
    parser.add_argument("--config", type=Path, help="TOML file, see docs/configuration.md")
    return parser


@contextmanager
def opened(config: Path | None) -> Iterator[Bot]:
    """The bot of a configuration, closed at the end; it sends nothing itself. Raises CannotOpen."""
    try:
        bot = open_bot(read_config(config), SystemClock())
    except (BadFile, StoreError) as exc:
        raise CannotOpen(str(exc)) from None
    try:
        yield bot
    finally:
        bot.close()


def fail(problem: object) -> int:
    """Say what is wrong; the exit code for it."""
    print(f"bot: {problem}", file=sys.stderr)
    return 2
