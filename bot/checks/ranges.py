"""Recommended ranges: the targets that the core works to, and the verdicts at their edges."""

from __future__ import annotations

from bot import compost as core
from bot.checks import Check

CIAS = "Univ. of Wisconsin-Madison CIAS, Art and Science of Composting, 2002, Table 1"
RYNK = "Rynk et al., The Composting Handbook, 2021, Table 4.2"
NRAES = "NRAES-54, On-Farm Composting Handbook, 1992, Table 2.1"
CORNELL = "Cornell Waste Management Institute, Science and Engineering of composting, 1996, right mix page"
FAO_SOILS = "FAO Soils Bulletin 80 (Bot and Benites), 2005"


def _edge_cn(high: bool) -> float:
    """C:N at which the verdict changes, found by bisection."""
    low_cn, high_cn = (30.0, 90.0) if high else (5.0, 30.0)
    while high_cn - low_cn > 0.01:
        middle = (low_cn + high_cn) / 2
        bad = _verdict(cn=middle) != "good"
        if bad == high:
            high_cn = middle
        else:
            low_cn = middle
    return low_cn


def _edge_moisture() -> float:
    low, high = 0.4, 0.9
    while high - low > 0.0005:
        middle = (low + high) / 2
        low, high = (low, middle) if _verdict(moisture=middle) != "good" else (middle, high)
    return low


def _verdict(cn: float = 28.0, moisture: float = 0.5) -> str:
    material = core.simple_material(
        "mix", moisture=moisture, carbon=0.45, nitrogen=0.45 / cn, density_kg_m3=300.0, ash=0.1
    )
    return core.judge(core.mix_of([core.Part(material, 1.0)])).kind


def _smallest_side() -> float:
    """Side of the smallest cube that is not called too small, in steps of 10 cm."""
    sides = [step / 10 for step in range(3, 21)]
    return next(side for side in sides if "too_small" not in core.size_notes(core.Size(side, side, side)))


ROWS = (
    Check("RANGE-01", "C:N above which a mix is called slow", CIAS, "published", 40, 0.02, "-",
          lambda: _edge_cn(True)),
    Check("RANGE-01", "C:N below which a mix will smell", CIAS, "published", 20, 0.02, "-",
          lambda: _edge_cn(False)),
    Check("RANGE-02", "moisture above which a mix is too wet", CIAS, "published", 0.65, 0.001, "kg/kg",
          _edge_moisture),
    Check("RANGE-07", "moisture that watering aims at, in 50 to 60 %", RYNK, "published", 0.55, 0.05, "kg/kg",
          lambda: core.MOISTURE_TARGET),
    Check("RANGE-08", "lower edge of the preferred C:N", NRAES, "from memory", 25, 0, "-",
          lambda: core.CN_PREFERRED[0]),
    Check("RANGE-08", "upper edge of the preferred C:N", NRAES, "from memory", 30, 0, "-",
          lambda: core.CN_PREFERRED[1]),
    Check("RANGE-11", "moisture that watering aims at is not above the wet limit of 55 to 60 %",
          CORNELL, "published", 0.55, 0.05, "kg/kg", lambda: core.MOISTURE_TARGET),
    Check("RANGE-14", "smallest heap, volume of the cube", FAO_SOILS, "published, restated", 1.0, 0.01, "m3",
          lambda: _smallest_side() ** 3),
    Check("FEED-13", "densest start that the core accepts, 1000 lb/yd3", CIAS, "published", 593, 0.5, "kg/m3",
          lambda: core.BULK_DENSITY_MOST),
)  # fmt: skip
