"""What compost is worth, what it costs, and where the two meet. Money is in whatever unit the caller uses."""

from __future__ import annotations

import math

import msgspec

from .errors import TooLittle, check_range
from .spread import Compost, nutrients_of

MONEY_MOST = 1e12
# Hours of work. Estimates: one person carries, chops and layers a cubic metre in about three hours.
BUILD_H_PER_M3 = 3.0
TURN_H_PER_M3 = 0.75
WATER_H_PER_M3 = 0.25


class Fertiliser(msgspec.Struct, frozen=True, kw_only=True):
    """A bag of mineral fertiliser: its price, mass [kg] and shares as printed, N, P2O5, K2O [kg/kg]."""

    price: float
    mass_kg: float
    nitrogen: float = 0.0
    p2o5: float = 0.0
    k2o: float = 0.0


class Worth(msgspec.Struct, frozen=True, kw_only=True):
    """Bags of compost, what they sell for, the labour in them, the price a bag at which labour is just paid,
    and the gain (below 0: loss)."""

    bags: int
    sales: float
    hours: float
    labour: float
    break_even_price: float
    gain: float


P_OF_P2O5 = 0.4364  # [kg/kg] phosphorus in P2O5, from atomic masses
K_OF_K2O = 0.8301  # [kg/kg] potassium in K2O, from atomic masses


def nutrient_price(bag: Fertiliser) -> float:
    """Price of a kilogram of nutrient in a fertiliser that carries one.

    bag : its price, mass and share of N, P (as P2O5) or K (as K2O). Returns the price of the element. [money/kg]
    Raises OutOfRange, TooLittle when the bag carries none, or more than one (then no one price follows).
    Source: price / (mass x share), oxides turned to elements (definition).

    >>> round(nutrient_price(Fertiliser(price=46.0, mass_kg=50.0, nitrogen=0.46)), 6)
    2.0
    """
    check_range("price", bag.price, 0, MONEY_MOST, "money")
    check_range("mass_kg", bag.mass_kg, 0.1, 2000, "kg")
    shares = [
        check_range("nitrogen", bag.nitrogen, 0, 1, "kg/kg"),
        check_range("p2o5", bag.p2o5, 0, 1, "kg/kg") * P_OF_P2O5,
        check_range("k2o", bag.k2o, 0, 1, "kg/kg") * K_OF_K2O,
    ]
    carried = [share for share in shares if share > 0]
    if len(carried) != 1:
        raise TooLittle("nutrient_price", "no nutrient" if not carried else "several nutrients")
    return bag.price / (bag.mass_kg * carried[0])


def nutrient_value(
    compost: Compost, nitrogen_price: float, phosphorus_price: float = 0.0, potassium_price: float = 0.0
) -> float:
    """What the nutrients in compost would cost as fertiliser.

    compost : amount. nitrogen_price, phosphorus_price, potassium_price : of 1 kg of the element. [money/kg]
    Returns the value; nitrogen counts in full, though most of it comes in later seasons. [money]
    Raises OutOfRange. Source: mass times price (definition). Organic matter, the larger benefit, is not
    priced.
    """
    found = nutrients_of(compost, compost.mass_kg)
    prices = (nitrogen_price, phosphorus_price, potassium_price)
    for price in prices:
        check_range("price", price, 0, MONEY_MOST, "money/kg")
    amounts = (found.nitrogen_kg, found.phosphorus_kg, found.potassium_kg)
    return sum(amount * price for amount, price in zip(amounts, prices, strict=True))


def hours_of_work(built_m3: float, turns: int, waterings: int) -> float:
    """Hours that one person works on a heap.

    built_m3 : volume as built, 0 to 1000. [m3] turns, waterings : how often. Returns the time. [h]
    Raises OutOfRange. Source: estimate; a farmer's own count is better.

    >>> hours_of_work(8.0, 6, 6)
    72.0
    """
    check_range("built_m3", built_m3, 0, 1000, "m3")
    check_range("turns", turns, 0, 200, "turns")
    check_range("waterings", waterings, 0, 1000, "waterings")
    return built_m3 * (BUILD_H_PER_M3 + TURN_H_PER_M3 * turns + WATER_H_PER_M3 * waterings)


def worth_of(
    compost: Compost,
    bag_kg: float,
    price_per_bag: float,
    hours: float,
    wage_per_hour: float,
    costs: float = 0.0,
) -> Worth:
    """Sale, cost and break-even of compost.

    compost : amount. bag_kg : moist compost in a bag, 1 to 200. [kg] price_per_bag : [money]
    hours : of work. [h] wage_per_hour : what an hour is worth. [money/h] costs : bags, transport, bought
    stuff. [money]
    Returns the sums.
    Raises OutOfRange, TooLittle when there is not one full bag.
    Source: definition.
    """
    check_range("bag_kg", bag_kg, 1, 200, "kg")
    for name, value in (("price_per_bag", price_per_bag), ("wage_per_hour", wage_per_hour), ("costs", costs)):
        check_range(name, value, 0, MONEY_MOST, "money")
    check_range("hours", hours, 0, 1e6, "h")
    bags = math.floor(compost.mass_kg / bag_kg + 1e-9)
    if bags < 1:
        raise TooLittle("bags", "not one full bag")
    labour = hours * wage_per_hour
    return Worth(
        bags=bags,
        sales=bags * price_per_bag,
        hours=hours,
        labour=labour,
        break_even_price=(labour + costs) / bags,
        gain=bags * price_per_bag - labour - costs,
    )
