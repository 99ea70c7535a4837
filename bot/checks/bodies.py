"""The heap as a body, and rates of decay that need no thermal model."""

from __future__ import annotations

from bot import compost as core
from bot.checks import Check

GOOD = core.Size(2.0, 2.0, 2.0)
MILNE = "Mason and Milke 2005, Waste Management 25:481-500, abstract"


def _surface_per_volume() -> float:
    return core.surface_m2(GOOD) / GOOD.volume_m3


def _half_left() -> float:
    """Days until half the fast share is left, times its rate: ln 2 for first-order decay."""
    low, high = 0.0, 200.0
    while high - low > 1e-6:
        middle = (low + high) / 2
        low, high = (middle, high) if core.left_of(1.0, 1.0, middle)[0] > 0.5 else (low, middle)
    return low * core.FAST_RATE


ROWS = (
    Check("KIN-19", "surface to volume of the good heap, 0.4 to 3.8", MILNE, "published", 2.1, 1.7, "m2/m3",
          _surface_per_volume),
    Check("KIN-18", "volume lost in a year, 20 to 60 %", "ARCC Agricultural Reviews R-2197", "published", 0.40,
          0.20, "m3/m3", lambda: 1 - core.settled_volume_m3(1.0, 365)),
    Check("KIN-17", "half-life times rate, first-order decay (0.02 a day: half in 34.7 d)", "arithmetic",
          "definition", 0.02 * 34.657, 0.0005, "-", _half_left),
)  # fmt: skip
