"""Command line: `python -m simulator` serves the page, `python -m simulator talk` reads a script."""

from __future__ import annotations

import argparse
import os
import signal
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TextIO

import msgspec

from bot import BadFile, Config, StoreError, read_config

from .opening import open_season
from .page import create_page
from .script import ScriptError
from .server import WHAT_TO_TRY, PortError, listen, serve, web_address
from .talk import Talk, run_script, run_terminal
from .views import tariff_of

DEFAULT_PORT = 8025
KEPT = "Everything is kept in {db}."
NOT_KEPT = "Nothing is kept after that; to keep it, start with --db FILE."


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one of the two and return the exit code: 0, or 2 with a line of explanation."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        return talk(words[1:]) if words[:1] == ["talk"] else page(words)
    except (BadFile, StoreError, PortError, ScriptError) as exc:
        print(f"simulator: {exc}", file=sys.stderr)
        return 2


def talk(words: Sequence[str]) -> int:
    """Follow a script from standard input, or talk with the person who sits there."""
    chosen = _talk_options().parse_args(words)
    config = _config(chosen)
    out = _utf8(sys.stdout)
    _utf8(sys.stdin)
    try:
        with open_season(config, chosen.db) as season:
            told = Talk(season, out, chosen.json)
            if sys.stdin.isatty():
                return run_terminal(told, sys.stderr)
            return run_script(told, sys.stdin.buffer, sys.stderr)
    except BrokenPipeError:
        # The reader has seen enough (`| head`). Python would complain again when it flushes at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def page(words: Sequence[str]) -> int:
    """Serve the page until Ctrl-C."""
    chosen = _page_options().parse_args(words)
    config = _config(chosen)
    with listen(chosen.host, chosen.port) as taken, open_season(config, chosen.db) as season:
        keeping = KEPT.format(db=chosen.db) if chosen.db else NOT_KEPT
        print(WHAT_TO_TRY.format(address=web_address(taken), keeping=keeping), flush=True)
        # A service manager's goodbye must clean up as Ctrl-C does.
        signal.signal(signal.SIGTERM, signal.default_int_handler)
        serve(create_page(season, tariff_of(config)), taken)
    return 0


def _config(chosen: argparse.Namespace) -> Config:
    config = read_config(chosen.config)
    return msgspec.structs.replace(config, default_language=chosen.lang) if chosen.lang else config


def _utf8(stream: TextIO) -> TextIO:
    """The same stream in UTF-8 whatever the locale, so that input and output are the same everywhere."""
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure:
        reconfigure(encoding="utf-8", errors="replace")
    return stream


def _talk_options() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m simulator talk",
        description="Text the bot from a script on standard input. A line is a farmer's text; "
        "'@ 7d' moves the clock, '@ rain 12' reports rain, '#' starts a comment (docs/simulator.md).",
    )
    _common_options(parser)
    parser.add_argument("--json", action="store_true", help="each message, in and out, as a JSON object")
    return parser


def _page_options() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m simulator",
        description="Serve a page with a phone to text the bot from.",
        epilog="In plain text: 'python -m simulator talk'; see 'python -m simulator talk --help'.",
    )
    _common_options(parser)
    parser.add_argument(
        "--port", type=_port, default=DEFAULT_PORT, help="default: %(default)s; 0: any free one"
    )
    parser.add_argument("--host", default="127.0.0.1", help="address to serve on; default: %(default)s")
    return parser


def _port(text: str) -> int:
    number = int(text) if text.isascii() and text.isdigit() else -1
    if not 0 <= number <= 65535:
        raise argparse.ArgumentTypeError(f"{text!r} is no port; it is a whole number from 0 to 65535")
    return number


def _common_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--lang", help="language spoken to a phone that has not joined, such as en or sw")
    parser.add_argument("--config", type=Path, metavar="FILE", help="groups, hours, price from this file")
    parser.add_argument("--db", type=Path, metavar="FILE", help="keep farmers and messages in this file")


if __name__ == "__main__":
    sys.exit(main())
