"""The pile over time: factors of decay, and what the model gives for piles that the trade and the literature know."""

from __future__ import annotations

import math
from functools import cache

from bot import compost as core
from bot.checks import Check
from bot.coredata import load_pile_constants, load_pile_measured

HAUG = "Haug, Practical Handbook of Compost Engineering, 1993"
PRACTICE = "common practice"
NCS = "Univ. of Nebraska, NebGuide G1315"
_HAUG_45 = 1.066**25 - 1.21**-15  # KIN-01


@cache
def _course(
    side_m: float = 2.0,
    turn_every: int = 0,
    days: int = 60,
    particle: core.Particle = "medium",
    moisture: float = 0.55,
    density: float = 320.0,
    cn_ratio: float = 28.0,
) -> core.Course:
    setup = core.Setup(
        side_m=side_m, turn_every=turn_every, days=days, particle=particle, moisture=moisture, density=density,
        cn_ratio=cn_ratio,
    )  # fmt: skip
    return core.run_setup(setup, load_pile_constants())


def _speed(celsius: float = 58.0, moisture: float = 1.0, air: float = 1.0) -> float:
    c = load_pile_constants()
    return float(core.decay_speed(c.coldest, c.best, c.hottest)(celsius, moisture, air))


def _oxygen_factor(percent: float) -> float:
    """Decay that supply allows at a given oxygen content, over unlimited decay: solved back from the balance."""
    low, high = 0.01, 1000.0
    while high - low > 1e-9:
        demand = (low + high) / 2
        low, high = (demand, high) if core.oxygen_percent(1.0, 20.95, demand) > percent else (low, demand)
    return (20.95 - percent) / low


def _peak(**setup: float) -> float:
    return float(_course(**setup).core_c.max())


def _ripe(**setup: float) -> float:
    day = _course(**setup).ripe_day()
    return math.nan if day is None else float(day)


def _shrunk() -> float:
    volume = _course(turn_every=7).volume_m3
    return float(1 - volume[-1] / volume[0])


def _cn_fall() -> float:
    ratio = _course(turn_every=7, days=90).cn_ratio
    return float(ratio[-1] / ratio[0])


_MEASURED = load_pile_measured()
_MISSES = ("KIN-13", "KIN-15c")  # told in docs/science-pile.md; `python -m bot plots` prints them
_UNITS = {"c": "C", "h": "h", "d": "d"}


def _measured(name: str) -> Check:
    point = _MEASURED[name]
    middle, half = (point.low + point.high) / 2, (point.high - point.low) / 2
    return Check(
        name, point.quantity, point.source, point.mark, middle, half + point.within,
        _UNITS[point.quantity.rsplit("_", 1)[-1]],
        lambda: core.compare({name: point}, load_pile_constants())[0].modelled,
    )  # fmt: skip


ROWS = (
    Check("KIN-01", "temperature factor at 45 C over 20 C, ours against Haug's", HAUG, "from memory", _HAUG_45,
          0.9, "-", lambda: _speed(45.0) / _speed(20.0)),
    Check("KIN-03", "moisture factor at 40 %", HAUG, "from memory", 0.503, 0.001, "-", lambda: _speed(moisture=0.4)),
    Check("KIN-03", "moisture factor at 50 %", HAUG, "from memory", 0.856, 0.001, "-", lambda: _speed(moisture=0.5)),
    Check("KIN-03", "moisture factor at 60 %", HAUG, "from memory", 0.972, 0.001, "-", lambda: _speed(moisture=0.6)),
    Check("KIN-04", "free air space factor at 15 %", HAUG, "from memory", 0.514, 0.001, "-", lambda: _speed(air=0.15)),
    Check("KIN-04", "free air space factor at 20 %", HAUG, "from memory", 0.776, 0.001, "-", lambda: _speed(air=0.20)),
    Check("KIN-04", "free air space factor at 30 %", HAUG, "from memory", 0.974, 0.001, "-", lambda: _speed(air=0.30)),
    Check("KIN-05", "oxygen factor at 5 %", HAUG, "from memory", 0.714, 0.001, "-", lambda: _oxygen_factor(5.0)),
    Check("KIN-05", "oxygen factor at 10 %", HAUG, "from memory", 0.833, 0.001, "-", lambda: _oxygen_factor(10.0)),
    Check("KIN-09", "C:N at the end over the start, 0.667 at the most fall", NCS, "published", 0.80, 0.133, "-",
          _cn_fall),
    Check("KIN-18", "volume lost in 60 days of weekly turning, 20 to 60 %", "ARCC Agricultural Reviews R-2197",
          "published", 0.40, 0.20, "m3/m3", _shrunk),
    Check("PILE-01", "peak of a 2 m cube, 60 to 70 C", PRACTICE, "common practice", 65, 5, "C", _peak),
    Check("PILE-02", "day of that peak, 2 to 5", PRACTICE, "common practice", 3.5, 1.5, "d",
          lambda: float(_course().core_c.argmax())),
    Check("PILE-03", "ripe when turned weekly, 6 to 8 weeks", PRACTICE, "common practice", 49, 7, "d",
          lambda: _ripe(turn_every=7, days=120)),
    Check("PILE-04", "ripe when never turned, 6 to 12 months", PRACTICE, "common practice", 274, 92, "d",
          lambda: _ripe(days=400)),
    Check("PILE-05", "peak of a 1 m cube, cooler", PRACTICE, "common practice", 52, 8, "C", lambda: _peak(side_m=1.0)),
    Check("PILE-06", "peak of a half-metre cube, hardly warm", PRACTICE, "common practice", 29, 6, "C",
          lambda: _peak(side_m=0.5)),
    Check("RANGE-10", "food left after 60 days below 30 % moisture: decay almost stops",
          "Cornell Waste Management Institute, 1996, right mix page", "published", 0.95, 0.05, "-",
          lambda: float(_dry().food_left[-1])),
    *(_measured(name) for name in _MEASURED if name not in _MISSES),
)  # fmt: skip


def _dry() -> core.Course:
    """A pile built at 25 % and never watered."""
    setup = core.Setup(side_m=2.0, turn_every=0, days=60, moisture=0.25, density=200.0)
    return core.simulate(core.cube(setup, load_pile_constants()), load_pile_constants(), 60)
