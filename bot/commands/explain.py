"""`python -m bot explain MESSAGE`: why a message was sent, for a trainer who doubts an advice."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from bot import Bot, StoreError
from bot.commands.opening import CannotOpen, config_option, fail, opened
from bot.explaining import Explaining, UnknownMessage, message_number

SHOWN = 20


def main(argv: Sequence[str]) -> int:
    """Returns 0, or 2 with a line of explanation for a number or phone that is not known."""
    chosen = _parser().parse_args(argv)
    if (chosen.message is None) == (chosen.phone is None):
        return fail("explain needs the number of a message, or --phone to list a farmer's last messages")
    try:
        with opened(chosen.config) as bot:
            return _list(bot, chosen.phone) if chosen.phone else _explain(bot, chosen.message)
    except (CannotOpen, UnknownMessage, StoreError) as exc:
        return fail(exc)


def _explain(bot: Bot, message: str) -> int:
    explaining = Explaining(bot.store, bot.engine, bot.speaker, bot.config.default_language)
    for line in explaining.explain(message):
        print(line)
    return 0


def _list(bot: Bot, phone: str) -> int:
    line = bot.store.lines.by_phone(phone)
    if line is None:
        raise UnknownMessage(f"nobody has written from {phone!r}; write it like +447700900001")
    for row in reversed(bot.store.outbox.latest(line.line_id, SHOWN)):
        print(f"{message_number(row):8} {row.queued_at:%Y-%m-%d %H:%M}  {row.text}")
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m bot explain", description=__doc__)
    parser.add_argument("message", nargs="?", help="number of a message, such as 3-17, or its reference")
    parser.add_argument("--phone", help="list the last messages to this phone with their numbers")
    return config_option(parser)
