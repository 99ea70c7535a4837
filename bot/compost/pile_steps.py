"""Integrator of the pile model: a modified Rosenbrock method, implicit in the two heats only.

The shell of a small pile answers within an hour or two while the season runs for months, so that an explicit method
takes its steps for stability, not for accuracy. This one solves two linear equations a step, needs only an
approximate Jacobian, and evaluates the rates twice a step. It goes on from the corrected (third order) values; the
correction of the heats is damped by the implicit part. The same lines serve floats and numpy arrays.
Source: Shampine and Reichelt 1997, The MATLAB ODE suite, SIAM J. Sci. Comput. 18, section 3 (from memory). The tests
compare with scipy's solver at tight tolerance.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import floor, sqrt

from .pile_factors import Number
from .pile_rates import Rates
from .pile_state import WATER_HEAT

Change = Sequence[Number]
Seen = Callable[[float, float, Sequence[Number], Sequence[Number], Change, Change], None]
GAMMA = 1.0 / (2.0 + sqrt(2.0))
E32 = 6.0 + sqrt(2.0)
STEEP = 0.7  # [d] of a step
LONGEST = 2.0  # [d] drainage, the fastest of what is explicit, stays stable


def advance(
    rates: Rates,
    state: Sequence[Number],
    start: float,
    end: float,
    tolerance: tuple[Number, Number],
    step: float,
    solids_heat: float,
    seen: Seen,
    largest: Callable[[Number], float] = abs,
) -> tuple[Sequence[Number], float]:
    """The state at `end`, by steps whose estimated error of the heats stays within `tolerance`.

    rates : change of each part of the state a day, then four elements of the Jacobian of the heats
        [1/d] and the two temperatures [C].
    start, end : days. [d]
    tolerance : error allowed in the heat of core and shell in a step of one day. [kJ]
    step : first step to try. [d]
    solids_heat : of the solids. [kJ/(kg K)]
    seen : told of each accepted step: its ends, states and rates at both, for values in between.
    largest : the largest absolute value among many piles.
    Returns the state and the next step to try. [d]
    """
    day, now = start, state
    change = rates(day, now)
    allowed_i, allowed_o = tolerance
    while day < end - 1e-9:
        # Short steps mean a steep course: they end on whole days, so that those need no interpolation.
        left = (end if step >= STEEP else min(end, floor(day + 1e-9) + 1.0)) - day
        used = left if step >= left else (0.5 * left if step > 0.5 * left else step)
        then, after, err_i, err_o = _step(rates, day, now, change, used, solids_heat)
        # Long steps lean on the approximate Jacobian, so they are held to a smaller error than short ones.
        error = max(largest(err_i / allowed_i), largest(err_o / allowed_o)) * max(0.8, sqrt(used))
        factor = min(4.0, max(0.2, 0.8 / (error + 1e-9) ** (1.0 / 3.0)))
        if error <= 1.0:
            seen(day, day + used, now, then, change, after)
            day, now, change = day + used, then, after
            step = min(LONGEST, max(step, used * factor) if used < step else used * factor)
        else:
            step = used * factor
    return now, step


def _step(
    rates: Rates, day: float, state: Sequence[Number], f0: Change, step: float, solids_heat: float
) -> tuple[list[Number], Change, Number, Number]:
    """One step: the new state, the rates near it and the estimated errors of the two heats."""
    half, sixth, weight = 0.5 * step, step / 6.0, GAMMA * step
    f0_i, f0_o, heat_i, heat_o = f0[0], f0[4], state[0], state[4]
    a, b, c, d, t_i, t_o = f0[10:]
    a, b, c, d = 1.0 - weight * a, weight * b, weight * c, 1.0 - weight * d
    scale = 1.0 / (a * d - b * c)
    a, b, c, d = a * scale, b * scale, c * scale, d * scale
    # The implicit part acts on temperature: the heat that mass carries in or out (`with_`) is left out of it.
    w_i, w_o, s_i, s_o = WATER_HEAT * t_i, WATER_HEAT * t_o, solids_heat * t_i, solids_heat * t_o
    with0_i = w_i * f0[3] + s_i * (f0[1] + f0[2])
    with0_o = w_o * f0[7] + s_o * (f0[5] + f0[6])
    u_i, u_o = f0_i - with0_i, f0_o - with0_o
    k1_i, k1_o = d * u_i + b * u_o + with0_i, c * u_i + a * u_o + with0_o
    middle = [u + half * k for u, k in zip(state, f0, strict=False)]
    middle[0], middle[4] = heat_i + half * k1_i, heat_o + half * k1_o
    f1 = rates(day + half, middle)
    f1_i, f1_o = f1[0], f1[4]
    with1_i = w_i * f1[3] + s_i * (f1[1] + f1[2])
    with1_o = w_o * f1[7] + s_o * (f1[5] + f1[6])
    base_i, base_o = k1_i + with1_i - with0_i, k1_o + with1_o - with0_o
    u_i, u_o = f1_i - base_i, f1_o - base_o
    k2_i, k2_o = d * u_i + b * u_o + base_i, c * u_i + a * u_o + base_o
    ahead = [u + step * k for u, k in zip(state, f1, strict=False)]
    ahead_i, ahead_o = heat_i + step * k2_i, heat_o + step * k2_o
    ahead[0], ahead[4] = ahead_i, ahead_o
    f2 = rates(day + step, ahead)
    with2_i = w_i * f2[3] + s_i * (f2[1] + f2[2])
    with2_o = w_o * f2[7] + s_o * (f2[5] + f2[6])
    u_i = f2[0] - E32 * (k2_i - f1_i) - 2.0 * (k1_i - f0_i) - with2_i
    u_o = f2[4] - E32 * (k2_o - f1_o) - 2.0 * (k1_o - f0_o) - with2_o
    with_i, with_o = with0_i - 2.0 * with1_i + with2_i, with0_o - 2.0 * with1_o + with2_o
    err_i = k1_i - 2.0 * k2_i + d * u_i + b * u_o + with2_i - with_i
    err_o = k1_o - 2.0 * k2_o + c * u_i + a * u_o + with2_o - with_o
    err_i, err_o = sixth * (d * err_i + b * err_o + with_i), sixth * (c * err_i + a * err_o + with_o)
    then = [u + sixth * (p + 4.0 * q + r) for u, p, q, r in zip(state, f0, f1, f2, strict=False)]
    # What the implicit part moved between the heats and the outside goes to the ledger: heat is not made or lost.
    total = then[0] + then[4] + then[8]
    then[0], then[4] = new_i, new_o = ahead_i + err_i, ahead_o + err_o
    then[8] = total - new_i - new_o
    return then, f2, err_i, err_o
