"""Planning a heap: the slowest pair of materials in the catalogue, against mixing the same two once."""

from __future__ import annotations

from contextlib import suppress
from itertools import combinations

from bot.compost import AtHand, CompostError, Part, Size, mix_of, plan_pile
from bot.coredata import load_catalogue
from tests.bench_row import Row, seconds

WANTED_MS = 5.0
REPEATS = 3  # the best of which counts, so that a pause of the machine is not taken for a slow pair


def measure() -> Row:
    """The best of some runs for each pair, and of these the worst."""
    catalogue, size = load_catalogue(), Size(1.5, 1.5, 1.5)

    def plan(pair: tuple[str, str]) -> None:
        with suppress(CompostError):  # two materials that do not rot are refused, which takes its time too
            plan_pile(catalogue, size, [AtHand(name) for name in pair])

    pairs = list(combinations(list(catalogue.materials), 2))
    times = {pair: min(seconds(lambda p=pair: plan(p)) for _ in range(REPEATS)) * 1e3 for pair in pairs}
    slowest = max(times, key=lambda pair: times[pair])
    parts = [Part(catalogue[name], 1.0) for name in slowest]
    floor_ms = min(seconds(lambda: mix_of(parts)) for _ in range(9)) * 1e3
    worst = times[slowest]
    return Row(
        f"planning any of {len(pairs)} pairs",
        worst / floor_ms,
        worst < WANTED_MS,
        f"worst < {WANTED_MS:g} ms",
        f"worst {worst:.2f} ms: {' and '.join(slowest)}",
    )
