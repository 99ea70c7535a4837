"""Opens a bot to play with: on a database of its own, on a Monday morning."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

import msgspec

from bot import Config, HandClock, SimulatedGateway, open_bot

from .season import Season

FIRST_MORNING = datetime(2026, 3, 2, 9, 0)  # noqa: DTZ001 - the zone is the farmers', from the config
"""A Monday. Fixed, so that the same script gives the same messages."""


@contextmanager
def open_season(config: Config, database: Path | None = None) -> Iterator[Season]:
    """A season on a database file, or on a temporary one that is gone afterwards.

    A file that holds messages already goes on from the last of them.
    """
    with tempfile.TemporaryDirectory(prefix="warmheap-") as scratch:
        place = str(database or Path(scratch) / "season.db")
        clock = HandClock(FIRST_MORNING.replace(tzinfo=config.timezone()))
        phones = SimulatedGateway()
        bot = open_bot(msgspec.structs.replace(config, database=place), clock, [phones])
        with Season(bot, clock, phones) as season:
            record = season.record()
            if record:
                clock.move_to(max(clock.now(), record[-1].at))
            yield season
