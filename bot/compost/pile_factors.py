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
    0 to 1, and 0 from `hottest` on. [-] Too much water acts through the air space it takes.
    Source: temperature: cardinal curve of Rosso, Lobry and Flandrois 1993, J. Theor. Biol. 162; for compost Richard
    and Walker 1998 (both from memory). Moisture 1 / (1 + exp(-17.684 m + 7.0622)) and air space
    1 / (1 + exp(-23.675 F + 3.4945)): Haug 1993 (KIN-03, KIN-04, from memory). Haug's temperature factor (KIN-01)
    rises like this one to 60 C but peaks at 71.6 C, which holds a big pile at 78 C: piles do not do that.

    >>> speed = decay_speed(2.0, 58.0, 75.0)
    >>> round(speed(58.0, 1.0, 1.0), 3), round(speed(58.0, 0.50, 1.0), 3), speed(80.0, 0.5, 0.5)
    (1.0, 0.856, 0.0)
    """
    rise, fall = best - coldest, best - hottest
    # (best - coldest) [(best - coldest)(T - best) - (best - hottest)(best + coldest - 2 T)] is a line in T
    slope = rise * (rise + 2.0 * fall)
    offset = -rise * (rise * best + fall * (best + coldest))

    def speed(celsius: Number, moisture: Number, free_air_space: Number) -> Number:
        above = celsius - coldest
        return larger(
            (celsius - hottest)
            * above
            * above
            / (
                (slope * celsius + offset)
                * (1.0 + exp(7.0622 - 17.684 * moisture))
                * (1.0 + exp(3.4945 - 23.675 * free_air_space))
            ),
            0.0,
        )

    return speed


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
