"""How much compost a heap gives, how far it goes, and what it brings to the field."""

from __future__ import annotations

from typing import Literal

import msgspec

from .constants import (
    COMPOST_DENSITY,
    COMPOST_MOISTURE,
    COMPOST_NITROGEN,
    COMPOST_PHOSPHORUS,
    COMPOST_POTASSIUM,
    FIRST_SEASON_NITROGEN,
    HANDFUL_L,
    NITROGEN_KEPT,
    SLOW_LOST,
)
from .crops import Crop
from .errors import check_range
from .mix import Mix

Caution = Literal[
    "wait_a_week_before_sowing",
    "wear_gloves_and_wash",
    "damp_against_dust",
    "work_in_or_cover",
    "lift_with_care",
]
CAUTIONS: tuple[Caution, ...] = (
    "wait_a_week_before_sowing",
    "wear_gloves_and_wash",
    "damp_against_dust",
    "work_in_or_cover",
    "lift_with_care",
)
AREA_MOST_M2 = 1e7


class Compost(msgspec.Struct, frozen=True, kw_only=True):
    """An amount of finished compost: mass as it lies [kg], volume [m3], moisture [kg/kg wet], nitrogen,
    phosphorus and potassium as elements of dry matter [kg/kg]."""

    mass_kg: float
    volume_m3: float
    moisture: float = COMPOST_MOISTURE
    nitrogen: float = COMPOST_NITROGEN
    phosphorus: float = COMPOST_PHOSPHORUS
    potassium: float = COMPOST_POTASSIUM

    @property
    def dry_kg(self) -> float:
        """Dry matter. [kg]"""
        return self.mass_kg * (1 - self.moisture)


class Nutrients(msgspec.Struct, frozen=True, kw_only=True):
    """Nitrogen, phosphorus, potassium as elements, and the nitrogen that the first season frees. [kg] or
    [kg/ha]"""

    nitrogen_kg: float
    phosphorus_kg: float
    potassium_kg: float
    first_season_nitrogen_kg: float


class Dressing(msgspec.Struct, frozen=True, kw_only=True):
    """Compost on a field. area_m2 that it feeds at rate_t_ha; depth on it [mm]; nutrients per hectare; what
    the crop lacks of each in the first season, 0 where it is enough [kg/ha]; handfuls for each station, or
    None."""

    rate_t_ha: float
    area_m2: float
    kg_per_m2: float
    depth_mm: float
    handfuls_per_station: float | None
    stations: int | None
    per_ha: Nutrients
    lacks: Nutrients
    cautions: tuple[Caution, ...]


def expected_compost(rotting: Mix, whole: Mix) -> Compost:
    """Finished compost that a heap gives.

    rotting, whole : what rots, and all that is built in with soil and ash, both as built.
    Returns mass, volume and nutrients; soil thins the nutrients, and its own are left out as not free.
    Raises OutOfRange when `whole` is less than what rots.
    Source: ash is conserved (KIN-16, definition); all of the fast and 60 % of the slow organic matter goes
    (estimate); 30 % of the nitrogen is lost, Eghball et al. 1997: 19 to 42 % (from memory). Density 600 kg/m3 at
    40 % moisture (estimate).
    """
    lost = rotting.fast_kg + SLOW_LOST * rotting.slow_kg
    left, dry = rotting.dry_kg - lost, whole.dry_kg - lost
    check_range("whole dry_kg", dry, left * (1 - 1e-9), 1e6, "kg")
    mass = dry / (1 - COMPOST_MOISTURE)
    return Compost(
        mass_kg=mass,
        volume_m3=mass / COMPOST_DENSITY,
        nitrogen=rotting.nitrogen_kg * NITROGEN_KEPT / dry,
        phosphorus=COMPOST_PHOSPHORUS * left / dry,
        potassium=COMPOST_POTASSIUM * left / dry,
    )


def nutrients_of(compost: Compost, mass_kg: float) -> Nutrients:
    """Nutrients in a mass of compost.

    mass_kg : as it lies, 0 to 1e6. [kg]
    Returns the nutrients. [kg]
    Raises OutOfRange.
    Source: mass balance (USE-14); 10 % of the nitrogen in the first season, Univ. of California (Hartz): 5 to
    10 %.
    """
    dry = check_range("mass_kg", mass_kg, 0, 1e6, "kg") * (1 - compost.moisture)
    nitrogen = dry * compost.nitrogen
    return Nutrients(
        nitrogen_kg=nitrogen,
        phosphorus_kg=dry * compost.phosphorus,
        potassium_kg=dry * compost.potassium,
        first_season_nitrogen_kg=nitrogen * FIRST_SEASON_NITROGEN,
    )


def dressing(compost: Compost, crop: Crop, rate_t_ha: float | None = None) -> Dressing:
    """What an amount of compost does for a crop.

    compost : what there is. crop : what it is for. rate_t_ha : 0.5 to 100, the crop's usual rate if None.
    [t/ha]
    Returns area, depth, handfuls, nutrients and shortfall.
    Raises OutOfRange.
    Source: unit conversions (USE-12, USE-13, definition); phosphorus and potassium are taken as fully
    available in the first season (estimate, on the high side).
    """
    rate = check_range("rate_t_ha", crop.rate.typical if rate_t_ha is None else rate_t_ha, 0.5, 100, "t/ha")
    per_ha = nutrients_of(compost, rate * 1000)
    area = area_fed_m2(compost.mass_kg, rate)
    handfuls = crop.handfuls.typical if crop.stations > 0 and crop.handfuls.typical > 0 else None
    density = compost.mass_kg / compost.volume_m3
    enough = int(compost.volume_m3 * 1000 / (handfuls * HANDFUL_L)) if handfuls else None
    return Dressing(
        rate_t_ha=rate,
        area_m2=area,
        kg_per_m2=rate / 10,
        depth_mm=depth_mm(rate, density),
        handfuls_per_station=handfuls,
        stations=enough,
        per_ha=per_ha,
        lacks=_lacks(crop, per_ha),
        cautions=CAUTIONS,
    )


def area_fed_m2(mass_kg: float, rate_t_ha: float) -> float:
    """Area that a mass covers at a rate.

    mass_kg : 0 to 1e6. [kg] rate_t_ha : 0.5 to 100. [t/ha] Returns the area. [m2]
    Raises OutOfRange. Source: 10 t/ha is 1 kg/m2 (definition).

    >>> area_fed_m2(1000.0, 10.0)
    1000.0
    """
    check_range("mass_kg", mass_kg, 0, 1e6, "kg")
    return mass_kg / (check_range("rate_t_ha", rate_t_ha, 0.5, 100, "t/ha") / 10)


def mass_for_area_kg(area_m2: float, rate_t_ha: float) -> float:
    """Mass that an area takes at a rate; the inverse of `area_fed_m2`.

    area_m2 : 0 to 1e7. [m2] rate_t_ha : 0.5 to 100. [t/ha] Returns the mass. [kg]
    Raises OutOfRange. Source: definition.
    """
    check_range("area_m2", area_m2, 0, AREA_MOST_M2, "m2")
    return area_m2 * check_range("rate_t_ha", rate_t_ha, 0.5, 100, "t/ha") / 10


def depth_mm(rate_t_ha: float, density_kg_m3: float = COMPOST_DENSITY) -> float:
    """Depth of compost spread at a rate.

    rate_t_ha : 0 to 1000. [t/ha] density_kg_m3 : 100 to 1500. [kg/m3] Returns the depth. [mm]
    Raises OutOfRange. Source: 1 cm at 600 kg/m3 is 60 t/ha (definition).

    >>> depth_mm(60.0)
    10.0
    """
    check_range("rate_t_ha", rate_t_ha, 0, 1000, "t/ha")
    return rate_t_ha * 100 / check_range("density", density_kg_m3, 100, 1500, "kg/m3")


def rate_of_depth_t_ha(depth: float, density_kg_m3: float = COMPOST_DENSITY) -> float:
    """Rate of a depth of compost; the inverse of `depth_mm`.

    depth : 0 to 500. [mm] density_kg_m3 : 100 to 1500. [kg/m3] Returns the rate. [t/ha]
    Raises OutOfRange. Source: definition.
    """
    check_range("depth", depth, 0, 500, "mm")
    return depth * check_range("density", density_kg_m3, 100, 1500, "kg/m3") / 100


def area_covered_m2(volume_m3: float, depth: float) -> float:
    """Area that a volume covers to a depth.

    volume_m3 : 0 to 1000. [m3] depth : 0.5 to 500. [mm] Returns the area. [m2]
    Raises OutOfRange. Source: definition (USE-16).

    >>> round(area_covered_m2(1.0, 10.0))
    100
    """
    check_range("volume_m3", volume_m3, 0, 1000, "m3")
    return volume_m3 * 1000 / check_range("depth", depth, 0.5, 500, "mm")


def _lacks(crop: Crop, given: Nutrients) -> Nutrients:
    nitrogen = max(0.0, crop.nitrogen.typical - given.first_season_nitrogen_kg)
    return Nutrients(
        nitrogen_kg=nitrogen,
        phosphorus_kg=max(0.0, crop.phosphorus.typical - given.phosphorus_kg),
        potassium_kg=max(0.0, crop.potassium.typical - given.potassium_kg),
        first_season_nitrogen_kg=nitrogen,
    )
