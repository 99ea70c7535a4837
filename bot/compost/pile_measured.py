"""The pile model against measured points, by the accuracy criteria of Mason 2006 (Waste Management 26:3-21)."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from typing import Literal

import msgspec
import numpy as np

from .errors import BadData
from .pile import Course, simulate
from .pile_constants import Particle, PileConstants
from .pile_events import Event
from .pile_state import Pile


class Setup(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A cube and its care: side [m], wet density [kg/m3], moisture [kg/kg], C:N, share of fast food in organic matter,
    turned every so many days (0: only watered, weekly), days to run [d]."""

    side_m: float
    turn_every: int
    days: int
    density: float = 320.0
    moisture: float = 0.55
    cn_ratio: float = 28.0
    fast: float = 0.30
    slow: float = 0.30
    ash: float = 0.15
    particle: Particle = "medium"


class Measured(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One published point: `quantity` in `low` to `high`, held to `within`; see the data file."""

    source: str
    mark: Literal["published", "published, restated", "from memory"]
    quantity: str
    low: float
    high: float
    within: float
    pile: Setup


class Compared(msgspec.Struct, frozen=True):
    """A point with what the model gives, how far that lies outside `low` to `high`, and whether `within` holds."""

    id: str
    measured: Measured
    modelled: float
    error: float
    met: bool


def parse_measured(text: str) -> Mapping[str, Measured]:
    """Points from the text of a TOML file, by id. Raises BadData."""
    try:
        points = msgspec.convert(tomllib.loads(text), dict[str, Measured])
    except (tomllib.TOMLDecodeError, msgspec.ValidationError) as exc:
        raise BadData("measured points", "", str(exc)) from None
    for name, point in points.items():
        kind, days = _parts(point.quantity)
        if kind not in _QUANTITIES or len(days) != _QUANTITIES[kind][0]:
            raise BadData(name, "quantity", f"unknown: {point.quantity!r}")
    return points


def cube(setup: Setup, constants: PileConstants) -> Pile:
    """The pile of a set-up: carbon is 45 % of dry matter (practice: 40 to 55)."""
    dry = setup.side_m**3 * setup.density * (1 - setup.moisture)
    organic = dry * (1 - setup.ash)
    return Pile(
        length_m=setup.side_m,
        width_m=setup.side_m,
        height_m=setup.side_m,
        dry_kg=dry,
        ash_kg=dry * setup.ash,
        fast_kg=organic * setup.fast,
        slow_kg=organic * setup.slow,
        water_kg=dry * setup.moisture / (1 - setup.moisture),
        carbon_kg=0.45 * dry,
        nitrogen_kg=0.45 * dry / setup.cn_ratio,
        speed=constants.speed[setup.particle],
        ease=constants.ease[setup.particle],
    )


def care(setup: Setup) -> list[Event]:
    """Turned as set up, or watered weekly; either way until a handful is damp, if it is not wetter."""
    step, kind = (setup.turn_every, "turn") if setup.turn_every else (7, "water")
    until = min(setup.moisture, 0.55)
    return [Event(day=day, kind=kind, until=until) for day in range(step, setup.days, step)]  # type: ignore[arg-type]


def run_setup(setup: Setup, constants: PileConstants) -> Course:
    """The course of a set-up."""
    return simulate(cube(setup, constants), constants, setup.days, None, care(setup))


def compare(points: Mapping[str, Measured], constants: PileConstants) -> list[Compared]:
    """Every point beside what the model gives for it."""
    return [_compared(name, point, constants) for name, point in points.items()]


def _compared(name: str, point: Measured, constants: PileConstants) -> Compared:
    kind, numbers = _parts(point.quantity)
    compute = _QUANTITIES[kind][1]
    modelled = compute(run_setup(point.pile, constants), *numbers)
    error = min(modelled - point.low, 0.0) + max(modelled - point.high, 0.0)
    return Compared(name, point, modelled, error, abs(error) <= point.within)


def _parts(quantity: str) -> tuple[str, list[int]]:
    """`mean_10_30_c` is mean_c with 10 and 30."""
    words = quantity.split("_")
    return "_".join(w for w in words if not w.isdigit()), [int(w) for w in words if w.isdigit()]


def _reach_h(course: Course, celsius: float) -> float:
    over = np.flatnonzero(course.core_c >= celsius)
    if not over.size:
        return 24.0 * len(course.core_c)
    day = int(over[0])
    before, after = course.core_c[max(day - 1, 0)], course.core_c[day]
    return 24.0 * float(day - (after - celsius) / (after - before)) if after > before else 0.0


_QUANTITIES: Mapping[str, tuple[int, Callable[..., float]]] = {
    "peak_c": (0, lambda course: float(course.core_c.max())),
    "reach_h": (1, _reach_h),
    "mean_c": (2, lambda course, first, last: float(course.core_c[first : last + 1].mean())),
    "at_c": (1, lambda course, day: float(course.core_c[day])),
    "hot_d": (1, lambda course, celsius: float((course.core_c >= celsius).sum())),
    "ripe_d": (0, lambda course: float(course.ripe_day() or len(course.core_c))),
}
