"""Computations for a pile that works: weeks, watering and cooling."""

from __future__ import annotations

from datetime import date
from typing import Any

from bot.advice.amounts import Carrier, Said
from bot.advice.planning import plan_of
from bot.advice.tables import catalogue, causes, pile_constants
from bot.compost import (
    MOISTURE_TARGET,
    CompostError,
    Event,
    PileNow,
    PilePlan,
    day_of_month_middle,
    hargreaves_mm,
    pile_of_plan,
    pile_water,
    radiation_above_air,
    remedy,
    simulate,
    usual_temperatures_c,
    water_week,
)

Result = dict[str, Any]
WEEK = 7  # [d]
WEEKS_TURNED = 8  # practice: turned weekly, mature in 6 to 8 weeks
WEEKS_UNTURNED = 40  # practice: never turned, 6 to 12 months
WEEKS_NEW = 3
"""After them one message tells the turns of two weeks: the farmer knows how, and messages cost."""
RAIN_DROPS_MM = 10.0  # [mm] in a week; practice: a week with rain needs no watering


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
    squeeze: str | None = None,
    turning: str | None = None,
) -> Result:
    """The week of a pile: what to do, with how much water.

    turning : `no` for a pile that is never turned. settled : the farmer has turned it for some weeks, and one
    message serves two. next : days to the next message.
    """
    weeks = age_days(built_on, today) // 7
    water = watering(size, materials, built_on, today, measure, rain_mm, latitude, squeeze)
    last = WEEKS_UNTURNED if turning == "no" else WEEKS_TURNED
    time = "over" if weeks > last else "first" if weeks <= 1 else "later"
    settled = weeks >= WEEKS_NEW
    return {
        "week": weeks, "time": time, "watering": water["need"], "water": water["water"],
        "settled": "yes" if settled else "no",
        "next": pace(turning)["days"] * (2 if settled and turning != "no" else 1),
    }  # fmt: skip


def watering(
    size: list[float],
    materials: Said,
    built_on: str | None = None,
    today: str | None = None,
    measure: Said | None = None,
    rain_mm: float | None = None,
    latitude: float | None = None,
    squeeze: str | None = None,
) -> Result:
    """What a pile needs after the last seven days, by the water balance.

    squeeze : what a handful gave lately; a wet pile gets no water whatever the sums say.
    need : `needed`; `rain` when the rain has given enough; `damp` when the pile itself must tell.
    """
    carrier = Carrier(measure)
    try:
        plan = plan_of(size, materials, carrier)
        start = max(age_days(built_on, today) - WEEK, 0) if built_on and today else 0
        rotted, rots = _rotting(plan, start)
        month = date.fromisoformat(today).month if today else 1
        pile = pile_water(plan.mix, plan.size.base_m2, rotted)
        week = water_week(pile, _et0_mm(latitude or 0.0, month), rain_mm or 0.0, rots)
    except CompostError:
        return {"need": "damp", "water": carrier.water(0)}
    if squeeze == "wet":
        return {"need": "damp", "water": carrier.water(0)}
    if (rain_mm or 0.0) >= RAIN_DROPS_MM:
        return {"need": "rain", "water": carrier.water(week.need_l)}
    need = "needed" if week.need_l > carrier.litres(carrier.vessel) / 2 else "rain" if rain_mm else "damp"
    return {"need": need, "water": carrier.water(week.need_l)}


def _rotting(plan: PilePlan, start: int) -> tuple[float, float]:
    """What has rotted away until a day, and what rots in the week after it, of a pile turned weekly. [kg]"""
    constants = pile_constants()
    days = start + WEEK
    turns = [weekly_turn(day) for day in range(WEEK, days, WEEK)]
    course = simulate(pile_of_plan(plan, catalogue(), constants), constants, days, None, turns)
    return float(course.decayed_kg(0, start)) if start else 0.0, float(course.decayed_kg(start, WEEK))


def weekly_turn(day: float) -> Event:
    """A turn as it is asked for: with water until a handful is damp."""
    return Event(day=day, kind="turn", until=MOISTURE_TARGET)


def usual_air_c(latitude: float | None, month: int) -> tuple[float, float]:
    """Usual low and high of a month at a place, the equator if it is not known. [C]"""
    return usual_temperatures_c(max(min(latitude or 0.0, 60.0), -60.0), month)


def _et0_mm(latitude: float, month: int) -> float:
    low, high = usual_air_c(latitude, month)
    return hargreaves_mm(low, high, radiation_above_air(latitude, day_of_month_middle(month)))


def drench(size: list[float], materials: Said, measure: Said | None = None) -> Result:
    """Water for a pile whose squeezed handful is dry; half of it cools a pile that is too hot."""
    carrier = Carrier(measure)
    plan = plan_of(size, materials, carrier)
    litres = remedy(causes(), "too_dry", pile_now(plan), squeeze="dry").litres or 0.0
    return {"water": carrier.water(litres), "cooling": carrier.water(litres / 2)}


def pile_now(plan: PilePlan, age_days: float = 0.0) -> PileNow:
    """The pile as it was built and watered, for the core's remedies."""
    return PileNow(
        volume_m3=plan.volume_m3,
        wet_mass_kg=plan.mix.mass_kg + plan.water_l,
        moisture=plan.watered_moisture,
        cn_ratio=plan.cn_ratio,
        age_days=age_days,
    )


def pace(turning: str | None = None) -> Result:
    """Days between two reminders: a pile that is never turned needs fewer. [d]"""
    return {"days": 28 if turning == "no" else 7}
