"""`python -m bot enrol FILE.csv`: enrol farmers whose consent is recorded on paper."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from bot import BadFile, Bot, StoreError
from bot.commands.opening import CannotOpen, config_option, fail, opened
from bot.gateways import read_gateways
from bot.importing import COLUMNS, BadList, Importing


class NoGateway(Exception):
    """It is not clear through which gateway the farmers are to be written to."""


def main(argv: Sequence[str]) -> int:
    """Returns 0, or 2 after naming every bad row; then nobody was enrolled."""
    parser = argparse.ArgumentParser(prog="python -m bot enrol", description=__doc__)
    parser.add_argument("file", type=Path, help=f"CSV in UTF-8 with the columns {','.join(COLUMNS)}")
    parser.add_argument("--gateway", help="the gateway that writes to them, if there are several")
    chosen = config_option(parser).parse_args(argv)
    try:
        with opened(chosen.config) as bot:
            importing = Importing(bot.store, bot.config, bot.speaker.languages)
            number = importing.enrol(chosen.file, _gateway(bot, chosen.gateway), bot.clock.now())
    except BadList as exc:
        print("\n".join(exc.problems), file=sys.stderr)
        return fail("nobody was enrolled; mend these rows and run it again")
    except (CannotOpen, NoGateway, BadFile, StoreError) as exc:
        return fail(exc)
    print(f"Enrolled: {number}. They get no message until they write or you do.")
    return 0


def _gateway(bot: Bot, wanted: str | None) -> str:
    """The gateway named, or the only one there is."""
    names = list(read_gateways(bot.config.gateways, os.environ))
    if wanted in names:
        return str(wanted)
    if wanted is None and len(names) == 1:
        return names[0]
    known = ", ".join(names) or "none"
    raise NoGateway(f"name a gateway of the configuration with --gateway; there are: {known}")
