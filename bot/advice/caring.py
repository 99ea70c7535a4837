"""Computations for a pile that works: weeks, watering, cooling, and how far the compost reaches."""

from __future__ import annotations

from datetime import date
from typing import Any

from bot.advice.amounts import Carrier, Said
from bot.advice.planning import plan_of
from bot.compost.errors import CompostError
from bot.compost.evapotranspiration import (
    day_of_month_middle,
    hargreaves_mm,
    radiation_above_air,
    usual_temperatures_c,
)
from bot.compost.water import pile_water, water_week

Result = dict[str, Any]
WEEKS_TURNED = 8  # practice: turned weekly, mature in 6 to 8 weeks
DRENCH_SHARE = 0.25  # of the water at building: a pile that fell from 55 to about 48 % moisture; estimate
YIELD_SHARE = 0.5  # [m3/m3] practice; published range of shrinkage is 20 to 60 % (review, ARCC R-2197)
DRESSING_M = 0.01  # [m] a layer of 1 cm: 60 t/ha at 600 kg/m3 (definition), for a field that starts poor
SACK = {"measure": "sack"}


def age_days(built_on: str, today: str) -> int:
    return max((date.fromisoformat(today) - date.fromisoformat(built_on)).days, 0)


def care(
    built_on: str,
    today: str,
    size: list[float],
    materials: Said,
    measure: Said | None = None,
    rain_mm: float | None = None,
    latitude: float | None = None,
) -> Result:
    """The week of a pile: what to do, with how much water."""
    weeks = age_days(built_on, today) // 7
    water = watering(size, materials, built_on, today, measure, rain_mm, latitude)
    time = "over" if weeks > WEEKS_TURNED else "first" if weeks <= 1 else "later"
    return {"week": weeks, "time": time, "watering": water["need"], "water": water["water"]}


def watering(
    size: list[float],
    materials: Said,
    built_on: str | None = None,
    today: str | None = None,
    measure: Said | None = None,
    rain_mm: float | None = None,
    latitude: float | None = None,
) -> Result:
    """What a pile needs after the last seven days, by the water balance.

    need : `needed`; `rain` when the rain has given enough; `damp` when none fell and none is needed.
    """
    carrier = Carrier(measure)
    try:
        plan = plan_of(size, materials, carrier)
        age = age_days(built_on, today) if built_on and today else 0
        pile = pile_water(plan.mix, plan.size.base_m2, max(age - 7, 0))
        month = date.fromisoformat(today).month if today else 1
        week = water_week(pile, _et0_mm(latitude or 0.0, month), rain_mm or 0.0)
    except CompostError:
        return {"need": "damp", "water": carrier.water(0)}
    need = "needed" if week.need_l > carrier.litres(carrier.vessel) / 2 else "rain" if rain_mm else "damp"
    return {"need": need, "water": carrier.water(week.need_l)}


def _et0_mm(latitude: float, month: int) -> float:
    low, high = usual_temperatures_c(max(min(latitude, 60.0), -60.0), month)
    return hargreaves_mm(low, high, radiation_above_air(latitude, day_of_month_middle(month)))


def drench(size: list[float], materials: Said, measure: Said | None = None) -> Result:
    """Water for a pile that has dried out, or that must be cooled."""
    carrier = Carrier(measure)
    return {"water": carrier.water(plan_of(size, materials, carrier).water_l * DRENCH_SHARE)}


def reach(size: list[float], materials: Said, measure: Said | None = None) -> Result:
    """Compost that a pile gives, and the ground it dresses."""
    carrier = Carrier(measure)
    volume = plan_of(size, materials, carrier).volume_m3 * YIELD_SHARE
    return {
        "compost": carrier.amount(volume, "topsoil"),
        "sacks": Carrier(SACK).amount(volume, "topsoil")["n"],
        "area": round(volume / DRESSING_M / 10) * 10,
    }
