"""What the weekly message expects of a pile, against one run of the model for the same days."""

from __future__ import annotations

from collections.abc import Callable

from bot.compost import Event, Reading, outlook, simulate
from tests.bench_row import Row, seconds
from tests.compost.piles import CONSTANTS, balanced

WANTED_MS = 150.0
TODAY, HORIZON = 28, 60
REPEATS = 5


def measure() -> Row:
    """A pile of four weeks, turned weekly, the stick told each week; the best of some runs."""
    pile = balanced()
    done = [Event(day=day, kind="turn", amount=60) for day in range(7, TODAY + 1, 7)]
    told = [Reading(day=day, kind="feel", word="warm") for day in range(7, TODAY + 1, 7)]
    taken_ms = _best_ms(lambda: outlook(pile, CONSTANTS, TODAY, HORIZON, done, told))
    floor_ms = _best_ms(lambda: simulate(pile, CONSTANTS, TODAY + HORIZON, None, done))
    return Row(
        f"outlook of a pile of {TODAY} days",
        taken_ms / floor_ms,
        taken_ms < WANTED_MS,
        f"< {WANTED_MS:g} ms",
        f"{taken_ms:.0f} ms, one run {floor_ms:.1f} ms",
    )


def _best_ms(work: Callable[[], object]) -> float:
    return min(seconds(work) for _ in range(REPEATS)) * 1e3
