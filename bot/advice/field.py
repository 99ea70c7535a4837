"""Computations for finished compost: how far it reaches, what a crop takes, how much a field needs."""

from __future__ import annotations

from math import ceil
from typing import Any

from bot.advice.amounts import Carrier, Said
from bot.advice.planning import plan_of
from bot.advice.tables import crops
from bot.compost import (
    Compost,
    CompostError,
    dressing,
    expected_compost,
    mass_for_area_kg,
    spoken,
)

Result = dict[str, Any]
USUAL_CROP = "maize"
BED_M2 = 10.0  # [m2] a bed of 1 m by 10 m, by which gardeners count; practice
SACK = {"measure": "sack"}
GOOD_PILE = [2.0, 2.0, 2.0]
USUAL_MIX: Said = {
    "known": [{"material": m, "amount": None, "measure": None} for m in ("maize_stalks", "cattle_manure")]
}


def compost_of(size: list[float], materials: Said, carrier: Carrier) -> Compost:
    """The finished compost that a pile gives. Raises CannotReach when nothing named rots."""
    plan = plan_of(size, materials, carrier)
    return expected_compost(plan.mix, plan.whole)


def reach(size: list[float], materials: Said, measure: Said | None = None, crop: str | None = None) -> Result:
    """Compost that a pile gives, and the ground that it dresses at the usual rate for a crop.

    by : `hole` for a crop that is planted in stations, else `bed`.
    """
    carrier = Carrier(measure)
    compost = compost_of(size, materials, carrier)
    kind = crops()[crop or USUAL_CROP]
    given = dressing(compost, kind)
    by_hole = bool(given.handfuls_per_station)
    bed_m3 = given.kg_per_m2 * BED_M2 * compost.volume_m3 / compost.mass_kg
    return {
        "compost": carrier.compost(compost),
        "sacks": Carrier(SACK).compost(compost)["n"],
        "area": spoken(given.area_m2),
        "crop": crop or USUAL_CROP,
        "by": "hole" if by_hole else "bed",
        "handfuls": {"n": spoken(given.handfuls_per_station or 0), "measure": "handful"},
        "bed": carrier.compost(compost, bed_m3),
        "touches": "yes" if kind.touches_soil else "no",
    }


def needed_for(area: float, crop: str | None = None, measure: Said | None = None) -> Result:
    """Compost for a piece of land, and how many good piles give it.

    verdict : `fine`, or `impossible` for land that no farm has.
    """
    carrier = Carrier(measure)
    kind = crops()[crop or USUAL_CROP]
    result: Result = {"crop": crop or USUAL_CROP, "size": GOOD_PILE, "area": spoken(area)}
    try:
        mass = mass_for_area_kg(area, kind.rate.typical)
    except CompostError:
        return result | {"verdict": "impossible", "piles": 0, "compost": {"n": 0, "measure": carrier.measure}}
    one = compost_of(GOOD_PILE, USUAL_MIX, carrier)
    return result | {
        "verdict": "fine",
        "piles": max(1, ceil(mass / one.mass_kg - 0.1)),
        "compost": carrier.compost(one, mass * one.volume_m3 / one.mass_kg),
    }
