"""How much water a heap loses and needs in a week, and what rain does for it."""

from __future__ import annotations

from typing import Literal

import msgspec

from .constants import (
    DECAY_WATER,
    HEAT_OF_DECAY,
    HOLDING_MOISTURE,
    LATENT_HEAT,
    MOISTURE_TARGET,
    RAIN_CAUGHT,
    VAPOUR_SHARE,
)
from .errors import check_range
from .mix import MASS_MOST_KG, Mix, water_to_add_kg

Cover = Literal["bare", "mulch", "sheet"]
# [-] of the reference evapotranspiration, and of the caught rain. Mulch: FAO-56 ch. 10 halves soil
# evaporation under a full cover of organic mulch, from memory; sheet: estimate.
EVAPORATION_FACTOR: dict[Cover, float] = {"bare": 1.0, "mulch": 0.5, "sheet": 0.1}
RAIN_FACTOR: dict[Cover, float] = {"bare": 1.0, "mulch": 1.0, "sheet": 0.0}


class PileWater(msgspec.Struct, frozen=True, kw_only=True):
    """What the balance needs to know of a heap. top_m2: area open to sun and rain [m2]; dry_kg, water_kg [kg]."""

    top_m2: float
    dry_kg: float
    water_kg: float


class WaterWeek(msgspec.Struct, frozen=True, kw_only=True):
    """The balance of some days. All in litres, moisture in kg/kg wet before any watering.

    need_l brings the heap back to 55 %; 0 means that no watering is needed.
    """

    surface_l: float
    decay_l: float
    formed_l: float
    rain_l: float
    drained_l: float
    moisture: float
    need_l: float


def pile_water(mix: Mix, top_m2: float, rotted_kg: float = 0.0) -> PileWater:
    """State of a heap that was built of a mix, watered to 55 %, and has been kept at that since.

    mix : what rots, as built. top_m2 : area of the top. [m2] rotted_kg : what has rotted away since, less than the
    dry matter; the pile model tells it. [kg]
    Raises OutOfRange.
    Source: definition of moisture on the wet basis.
    """
    check_range("top_m2", top_m2, 0.01, 200.0, "m2")
    dry = mix.dry_kg - check_range("rotted_kg", rotted_kg, 0.0, 0.999 * mix.dry_kg, "kg")
    water = dry * MOISTURE_TARGET / (1 - MOISTURE_TARGET)
    return PileWater(top_m2=top_m2, dry_kg=dry, water_kg=max(water, mix.water_kg * dry / mix.dry_kg))


def water_week(
    pile: PileWater,
    et0_mm_d: float,
    rain_mm: float,
    decayed_kg: float,
    cover: Cover = "mulch",
    days: float = 7.0,
) -> WaterWeek:
    """Water balance of a heap over some days, by default a week.

    pile : state at the start. et0_mm_d : reference evapotranspiration, 0 to 20. [mm/d]
    rain_mm : by the gauge over these days, 0 to 2000. [mm] cover : of the top. days : above 0 to 31. [d]
    decayed_kg : organic matter that rots in these days, as the pile model tells it (`Course.decayed_kg`). [kg]
    Returns the balance and the water needed at the end.
    Raises OutOfRange.
    Source: 1 mm on 1 m2 is 1 L (definition); heat of decay over latent heat (Haug 1993, from memory); what is
    above 70 % moisture drains (estimate).
    """
    check_range("et0_mm_d", et0_mm_d, 0, 20, "mm/d")
    check_range("rain_mm", rain_mm, 0, 2000, "mm")
    check_range("days", days, 0.01, 31, "d")
    check_range("water_kg", pile.water_kg, 0, MASS_MOST_KG, "kg")
    lost = check_range("decayed_kg", decayed_kg, 0, pile.dry_kg, "kg")
    surface = et0_mm_d * days * pile.top_m2 * EVAPORATION_FACTOR[cover]
    decay = lost * HEAT_OF_DECAY * VAPOUR_SHARE / LATENT_HEAT
    formed, rain = lost * DECAY_WATER, rain_mm * pile.top_m2 * RAIN_CAUGHT * RAIN_FACTOR[cover]
    dry = pile.dry_kg - lost
    water = max(0.0, pile.water_kg - surface - decay + formed + rain)
    held = dry * HOLDING_MOISTURE / (1 - HOLDING_MOISTURE)
    kept = min(water, held)
    moisture = kept / (kept + dry)
    return WaterWeek(
        surface_l=surface,
        decay_l=decay,
        formed_l=formed,
        rain_l=rain,
        drained_l=water - kept,
        moisture=moisture,
        need_l=water_to_add_kg(kept + dry, moisture, MOISTURE_TARGET),
    )
