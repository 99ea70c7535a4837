"""The heap as a body."""

from __future__ import annotations

from bot import compost as core
from bot.checks import Check

GOOD = core.Size(2.0, 2.0, 2.0)
MILNE = "Mason and Milke 2005, Waste Management 25:481-500, abstract"


def _surface_per_volume() -> float:
    return core.surface_m2(GOOD) / GOOD.volume_m3


ROWS = (
    Check("KIN-19", "surface to volume of the good heap, 0.4 to 3.8", MILNE, "published", 2.1, 1.7, "m2/m3",
          _surface_per_volume),
    Check("KIN-18", "volume lost in a year, 20 to 60 %", "ARCC Agricultural Reviews R-2197", "published", 0.40,
          0.20, "m3/m3", lambda: 1 - core.settled_volume_m3(1.0, 365)),
)  # fmt: skip
