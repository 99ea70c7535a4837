"""Computations for surplus compost: sacks, what they fetch, and what their nutrients would cost as fertiliser."""

from __future__ import annotations

from typing import Any

from bot.advice.amounts import Carrier, Said
from bot.advice.field import SACK, compost_of
from bot.compost import (
    CompostError,
    Fertiliser,
    hours_of_work,
    nutrient_price,
    nutrient_value,
    spoken,
    worth_of,
)

Result = dict[str, Any]
UREA_KG, UREA_N = 50.0, 0.46  # [kg], [kg/kg] a bag of urea as it is sold everywhere
MONEY_MOST = 1e9


def sale(
    size: list[float],
    materials: Said,
    measure: Said | None = None,
    price: float | None = None,
    turns: float | None = None,
) -> Result:
    """Sacks of a pile, what they fetch at a price for one, and the hours that a person has worked for them.

    verdict : `fine`, or `impossible` for a price that cannot be or a pile that fills no sack.
    """
    compost = compost_of(size, materials, Carrier(measure))
    sack_kg = compost.mass_kg / Carrier(SACK).filled(compost)
    length, width, height = size
    hours = hours_of_work(length * width * height, round(turns or 0), round(turns or 0))
    result: Result = {
        "hours": spoken(hours),
        "price": price or 0.0,
        "sacks": 0,
        "sales": 0,
        "verdict": "impossible",
    }
    if price is not None and not 0 < price < MONEY_MOST:
        return result
    try:
        worth = worth_of(compost, sack_kg, price or 0.0, hours, 0.0)
    except CompostError:
        return result
    sacks = min(spoken(worth.bags), worth.bags)  # what is said must multiply out
    return result | {"sacks": sacks, "sales": sacks * (price or 0.0), "verdict": "fine"}


def as_fertiliser(size: list[float], materials: Said, price: float, measure: Said | None = None) -> Result:
    """What the nitrogen in one sack of this compost would cost as urea, by the price of a 50 kg bag."""
    if not 0 < price < MONEY_MOST:
        return {"verdict": "impossible", "value": 0.0}
    compost = compost_of(size, materials, Carrier(measure))
    value = nutrient_value(compost, nutrient_price(Fertiliser(price=price, mass_kg=UREA_KG, nitrogen=UREA_N)))
    return {"verdict": "fine", "value": spoken(value / Carrier(SACK).filled(compost))}
