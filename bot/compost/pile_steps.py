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
from math import sqrt

from .pile_factors import Number
from .pile_rates import Rates

Change = Sequence[Number]
Seen = Callable[[float, float, Sequence[Number], Sequence[Number], Change, Change], None]
GAMMA = 1.0 / (2.0 + sqrt(2.0))
E32 = 6.0 + sqrt(2.0)
LONGEST = 1.5  # [d] explicit for drainage, the fastest of the rest


def advance(
    rates: Rates,
    state: Sequence[Number],
    start: float,
    end: float,
    tolerance: tuple[Number, Number],
    step: float,
    seen: Seen,
    largest: Callable[[Number], float] = abs,
) -> tuple[Sequence[Number], float]:
    """The state at `end`, by steps whose estimated error of the heats stays within `tolerance`.

    rates : change of each part of the state a day, then four elements of the Jacobian of the heats. [1/d]
    start, end : days. [d]
    tolerance : error allowed in the heat of core and shell in a step of one day. [kJ]
    step : first step to try. [d]
    seen : told of each accepted step: its ends, states and rates at both, for values in between.
    largest : the largest absolute value among many piles.
    Returns the state and the next step to try. [d]
    """
    day, now = start, state
    change = rates(day, now)
    allowed_i, allowed_o = tolerance
    while day < end - 1e-9:
        left = end - day
        used = left if step >= left else (0.5 * left if step > 0.5 * left else step)
        then, after, err_i, err_o = _step(rates, day, now, change, used)
        # Long steps lean on the approximate Jacobian, so they are held to a smaller error than short ones.
        error = max(largest(err_i / allowed_i), largest(err_o / allowed_o)) * sqrt(used)
        factor = min(4.0, max(0.2, 0.8 / (error + 1e-9) ** (1.0 / 3.0)))
        if error <= 1.0:
            seen(day, day + used, now, then, change, after)
            day, now, change = day + used, then, after
            step = min(LONGEST, max(step, used * factor) if used < step else used * factor)
        else:
            step = used * factor
    return now, step


def _step(
    rates: Rates, day: float, state: Sequence[Number], f0: Change, step: float
) -> tuple[list[Number], Change, Number, Number]:
    """One step: the new state, the rates near it and the estimated errors of the two heats."""
    half, sixth, weight = 0.5 * step, step / 6.0, GAMMA * step
    f0_i, f0_o, heat_i, heat_o = f0[0], f0[4], state[0], state[4]
    a, b, c, d = f0[-4:]
    a, b, c, d = 1.0 - weight * a, weight * b, weight * c, 1.0 - weight * d
    scale = 1.0 / (a * d - b * c)
    a, b, c, d = a * scale, b * scale, c * scale, d * scale
    k1_i, k1_o = d * f0_i + b * f0_o, c * f0_i + a * f0_o
    middle = [u + half * k for u, k in zip(state, f0, strict=False)]
    middle[0], middle[4] = heat_i + half * k1_i, heat_o + half * k1_o
    f1 = rates(day + half, middle)
    f1_i, f1_o = f1[0], f1[4]
    gap_i, gap_o = f1_i - k1_i, f1_o - k1_o
    k2_i, k2_o = d * gap_i + b * gap_o + k1_i, c * gap_i + a * gap_o + k1_o
    ahead = [u + step * k for u, k in zip(state, f1, strict=False)]
    ahead_i, ahead_o = heat_i + step * k2_i, heat_o + step * k2_o
    ahead[0], ahead[4] = ahead_i, ahead_o
    f2 = rates(day + step, ahead)
    gap_i = f2[0] - E32 * (k2_i - f1_i) - 2.0 * (k1_i - f0_i)
    gap_o = f2[4] - E32 * (k2_o - f1_o) - 2.0 * (k1_o - f0_o)
    err_i = sixth * (k1_i - 2.0 * k2_i + d * gap_i + b * gap_o)
    err_o = sixth * (k1_o - 2.0 * k2_o + c * gap_i + a * gap_o)
    err_i, err_o = d * err_i + b * err_o, c * err_i + a * err_o
    then = [u + sixth * (p + 4.0 * q + r) for u, p, q, r in zip(state, f0, f1, f2, strict=False)]
    # What the implicit part moved between the heats and the outside goes to the ledger: heat is not made or lost.
    total = then[0] + then[4] + then[8]
    then[0], then[4] = new_i, new_o = ahead_i + err_i, ahead_o + err_o
    then[8] = total - new_i - new_o
    return then, f2, err_i, err_o
