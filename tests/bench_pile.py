"""The pile model: 90 days of one pile, and of ten thousand at once, against scipy's solver on the same rates."""

from __future__ import annotations

import statistics

import numpy as np
from scipy.integrate import solve_ivp

from bot.compost.pile import simulate
from bot.compost.pile_rates import rates_of
from bot.compost.pile_state import Climate, Pile, Surroundings, as_temperatures, start_state
from tests.bench_row import Row, seconds
from tests.compost.piles import CONSTANTS, balanced, weekly

WANTED_MS = 5.0
WANTED_MANY_S = 5.0
MANY = 10_000
REPEATS = 15
DAYS = 90


def measure() -> Row:
    """The best of some runs of one pile left alone; watered and turned weekly beside it."""
    pile = balanced()
    cares = {"alone": [], "watered weekly": weekly(DAYS, turned=False), "turned weekly": weekly(DAYS)}
    times = {
        name: min(seconds(lambda e=events: simulate(pile, CONSTANTS, DAYS, None, e)) for _ in range(REPEATS))
        * 1e3
        for name, events in cares.items()
    }
    floor_ms = statistics.median(seconds(lambda: _scipy(pile)) for _ in range(3)) * 1e3
    figures = ", ".join(f"{name} {ms:.1f} ms" for name, ms in times.items()) + f", scipy {floor_ms:.0f} ms"
    alone = times["alone"]
    return Row("one pile, 90 days", alone / floor_ms, alone < WANTED_MS, f"alone < {WANTED_MS:g} ms", figures)


def measure_many() -> Row:
    """Ten thousand piles of different size, turned weekly, at once."""
    generator = np.random.default_rng(1)
    one = balanced(1.0)
    scale = generator.uniform(0.8, 2.5, MANY)
    sides = {"length_m", "width_m", "height_m"}
    fields = {
        name: getattr(one, name)
        * (scale if name in sides else scale**3 if name.endswith("_kg") else 1.0 + 0.0 * scale)
        for name in Pile.__struct_fields__
    }
    taken = seconds(lambda: simulate(Pile(**fields), CONSTANTS, DAYS, None, weekly(DAYS)))
    alone = seconds(lambda: simulate(one, CONSTANTS, DAYS, None, weekly(DAYS))) * MANY
    return Row(
        f"{MANY} piles, 90 days",
        taken / alone,
        taken < WANTED_MANY_S,
        f"< {WANTED_MANY_S:g} s",
        f"{taken:.2f} s",
    )


def _scipy(pile: Pile) -> None:
    climate = Climate()
    rates = rates_of(pile, CONSTANTS, Surroundings(climate, 0.0, 0.0))
    start = np.array(as_temperatures(pile, CONSTANTS, start_state(pile, CONSTANTS, climate.celsius)))
    solve_ivp(lambda day, state: rates(day, state.tolist()), (0, DAYS), start, method="LSODA", rtol=1e-4)


if __name__ == "__main__":
    print(measure())
    print(measure_many())
