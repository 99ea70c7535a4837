"""How temperature, moisture, air, oxygen and nitrogen speed or slow decay.

Each function takes plain numbers or numpy arrays; `exp` and `larger` are `math.exp` and `max` for the former,
`numpy.exp` and `numpy.maximum` for the latter, so that one pile and ten thousand use the same formulas.
"""

from __future__ import annotations

from collections.abc import Callable
from math import exp as _exp
from math import sqrt as _sqrt
from typing import Any

Number = Any  # float, or numpy.ndarray of one value a pile


def decay_speed(
    coldest: float, best: float, hottest: float, exp: Any = _exp, larger: Any = max
) -> Callable[[Number, Number, Number], Number]:
    """Speed of decay against the best temperature, plenty of water and open pores: three factors multiplied.

    coldest, best, hottest : where decay stops, is fastest, stops: the cardinal temperatures. [C]
    Returns a function of temperature [C], moisture on the wet basis [kg/kg] and free air space [m3/m3] that gives
    0 to 1, and 0 from `hottest` on. [-]
    Source: `warmth_factor` and `wetness_factor`.

    >>> speed = decay_speed(2.0, 58.0, 75.0)
    >>> round(speed(58.0, 1.0, 1.0), 3), round(speed(58.0, 0.50, 1.0), 3), speed(80.0, 0.5, 0.5)
    (1.0, 0.856, 0.0)
    """
    warmth, _ = warmth_factor(coldest, best, hottest, larger)
    return lambda celsius, moisture, free_air_space: (
        warmth(celsius) * wetness_factor(moisture, free_air_space, exp)
    )


def warmth_factor(
    coldest: float, best: float, hottest: float, larger: Any = max
) -> tuple[Callable[[Number], Number], Callable[[Number], Number]]:
    """Speed of decay against that at the best temperature, and how steeply it changes with temperature.

    coldest, best, hottest : as for `decay_speed`. [C]
    Returns two functions of temperature [C]: the factor, 0 to 1 and 0 from `hottest` on [-], and its slope [1/K],
    which above `hottest` is that just below, as a solver that looks across the edge needs it.
    Source: cardinal curve of Rosso, Lobry and Flandrois 1993, J. Theor. Biol. 162; for compost Richard and Walker
    1998 (both from memory). Haug's factor (KIN-01) rises like this one to 60 C but peaks at 71.6 C, which holds a
    big pile at 78 C: piles do not do that.

    >>> warmth, slope = warmth_factor(2.0, 58.0, 75.0)
    >>> warmth(58.0), abs(slope(58.0)) < 1e-9, abs(slope(30.0) - (warmth(30.01) - warmth(29.99)) / 0.02) < 1e-6
    (1.0, True, True)
    """
    rise, fall = best - coldest, best - hottest
    # (best - coldest) [(best - coldest)(T - best) - (best - hottest)(best + coldest - 2 T)] is a line in T
    tilt = rise * (rise + 2.0 * fall)
    offset = -rise * (rise * best + fall * (best + coldest))

    def warmth(celsius: Number) -> Number:
        above = celsius - coldest
        return larger((celsius - hottest) * above * above / (tilt * celsius + offset), 0.0)

    def slope(celsius: Number) -> Number:
        celsius = hottest - larger(hottest - celsius, 0.0)
        above, below, line = celsius - coldest, celsius - hottest, tilt * celsius + offset
        return above * (above + 2.0 * below - below * above * tilt / line) / line

    return warmth, slope


def wetness_factor(moisture: Number, free_air_space: Number, exp: Any = _exp) -> Number:
    """Speed of decay against plenty of water and open pores. Too much water acts through the air space it takes.

    moisture : on the wet basis, 0 to 1. [kg/kg] free_air_space : 0 to 1. [m3/m3]
    Returns the factor, 0 to 1. [-]
    Source: 1 / (1 + exp(-17.684 m + 7.0622)) and 1 / (1 + exp(-23.675 F + 3.4945)): Haug 1993 (KIN-03, KIN-04,
    from memory).

    >>> round(wetness_factor(0.50, 0.30), 3)  # 0.856 x 0.974
    0.833
    """
    return 1.0 / ((1.0 + exp(7.0622 - 17.684 * moisture)) * (1.0 + exp(3.4945 - 23.675 * free_air_space)))


def nitrogen_factor(cn_ratio: Number, larger: Any = max) -> Number:
    """Speed of decay against enough nitrogen: 1 up to C:N 30, then 1 / (1 + (C:N - 30) / 30).

    cn_ratio : of the whole pile. [-]
    Returns the factor, 0 to 1. [-]
    Source: shape is an estimate; that decay slows above C:N 30 is in NRAES-54 1992 Table 2.1 (from memory).

    >>> nitrogen_factor(60.0)
    0.5
    """
    return 1.0 / (1.0 + larger(cn_ratio - 30.0, 0.0) / 30.0)


def vapour_pressure(celsius: Number, exp: Any = _exp) -> Number:
    """Saturation vapour pressure of water, 0.6108 exp(17.27 T / (T + 237.3)).

    celsius : air temperature, 0 to 90. [C]
    Returns the pressure. [kPa]
    Source: FAO Irrigation and Drainage Paper 56, 1998, Eq. 11 (Tetens), as `saturation_pressure_kpa`, without its
    check of every value and for arrays too; a test holds the two together.

    >>> round(vapour_pressure(24.5), 2)  # FAO-56 Example 3 prints 3.075
    3.07
    """
    return 0.6108 * exp(17.27 * celsius / (celsius + 237.3))


def oxygen_percent(supply: Number, entering: Number, demand: Number, sqrt: Any = _sqrt) -> Number:
    """Oxygen in the pores where supply meets use.

    supply : oxygen brought per percent of difference, above 0. [kg/(d %)]
    entering : oxygen of the air that comes in, 0 to 21. [%]
    demand : oxygen that would be used were it unlimited, 0 or more. [kg/d]
    Returns the oxygen content p, 0 to `entering`. [%]
    Source: root of supply (entering - p) = demand p / (p + 2): steady state, as pore air changes in minutes, with the
    oxygen factor p / (p + 2) of Haug 1993 (KIN-05, from memory).

    >>> round(oxygen_percent(1.0, 10.0, 7.0), 3)  # 1 (10 - 5) = 7 x 0.714
    5.0
    """
    half = 0.5 * (2.0 + demand / supply - entering)
    return sqrt(half * half + 2.0 * entering) - half


def oxygen_yield(supply: Number, demand: Number, percent: Number) -> Number:
    """How much more oxygen is used for each unit more that is wanted, at the balance of `oxygen_percent`.

    supply, demand : as for `oxygen_percent`. percent : the oxygen content that it gives. [%]
    Returns the share, 0 (starved) to 1 (plenty). [-]
    Source: derivative of demand p / (p + 2) with p moving along supply (entering - p) = demand p / (p + 2).

    >>> round(oxygen_yield(1.0, 7.0, 5.0), 3)  # 5/7 x 1 / (1 + 7 x 2/49)
    0.556
    """
    room = percent + 2.0
    return percent / room * supply / (supply + 2.0 * demand / (room * room))
