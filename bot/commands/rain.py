"""`python -m bot rain MM [--place PLACE]`, or `rain --file DAYS.csv`: tell of rain that fell, for the watering advice."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from bot import BadFile, StoreError
from bot.commands.opening import CannotOpen, config_option, fail, opened
from bot.reminders.timing import local_day
from bot.weather import RainDay, read_weather


def main(argv: Sequence[str]) -> int:
    """Returns 0, or 2 with a line of explanation when nothing was kept."""
    chosen = _parser().parse_args(argv)
    if (chosen.mm is None) == (chosen.file is None):
        return fail("tell either the millimetres of today, or a file of days")
    try:
        with opened(chosen.config) as bot:
            today = local_day(bot.clock.now(), bot.config.timezone())
            days = read_weather(chosen.file, today) if chosen.file else [_today(chosen, today)]
            bot.keep_rain(days)
    except (CannotOpen, BadFile, StoreError, ValueError) as exc:
        return fail(exc)
    print(f"Kept: {len(days)} days of rain. Farmers at these places get watering advice by it.")
    return 0


def _today(chosen: argparse.Namespace, today: date) -> RainDay:
    return RainDay(chosen.place, today, chosen.mm)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m bot rain", description=__doc__)
    parser.add_argument("mm", type=float, nargs="?", help="rain of today in millimetres")
    parser.add_argument("--place", default="", help="as farmers name it; left out, it rained everywhere")
    parser.add_argument(
        "--file", type=Path, help="CSV with the columns place, day, mm; read again, it replaces"
    )
    return config_option(parser)
