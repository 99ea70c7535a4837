"""Integrator of the pile model: a modified Rosenbrock method, implicit in the two temperatures only.

The shell of a small pile answers within half an hour while the season runs for months, so that an explicit method
takes its steps for stability, not for accuracy. This one solves two linear equations a step, needs only an
approximate Jacobian, and evaluates the rates twice a step. It goes on from the corrected (third order) values; the
correction of the temperatures is damped by the implicit part. The same lines serve floats and numpy arrays.

Once warm, core and shell follow food and water as these change slowly. Rosenbrock methods carry such a change as the
derivative of the rates with time; here it is measured over the last step (`drift`), which costs no evaluation.
Without it the temperatures lag behind by a step, and those of a light pile swing about the air's.
Source: Shampine and Reichelt 1997, The MATLAB ODE suite, SIAM J. Sci. Comput. 18, section 3 (from memory). The tests
compare with scipy's solver at tight tolerance.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import sqrt

from .pile_factors import Number
from .pile_rates import Rates
from .pile_state import CORE, SHELL

Change = Sequence[Number]
Seen = Callable[[float, float, Sequence[Number], Sequence[Number], Change, Change], None]
Pair = tuple[Number, Number]
GAMMA = 1.0 / (2.0 + sqrt(2.0))
E32 = 6.0 + sqrt(2.0)
TOLERANCE_K = 0.13  # [K] error of core and shell allowed in a step of one day
TOLERANCE_WATER = (
    0.002  # [kg/kg] of the shell's water, likewise; also keeps drainage stable, which is explicit
)
LONGEST = 4.0  # [d]
STEEP = 10  # where the Jacobian stands after the changes of the state


def advance(
    rates: Rates,
    state: Sequence[Number],
    start: float,
    end: float,
    step: float,
    seen: Seen,
    largest: Callable[[Number], float] = abs,
    slack: float = 1.0,
) -> tuple[Sequence[Number], float, float]:
    """The state at `end`, by steps whose estimated errors stay within the tolerances.

    rates : change of each part of the state a day, then with `steep` the four elements of the Jacobian of the
        temperatures [1/d].
    state : `as_temperatures`. start, end : days. [d] step : first step to try. [d]
    seen : told of each accepted step: its ends, states and rates at both, for values in between.
    largest : the largest absolute value among many piles. slack : on the tolerances. [-]
    Returns the state, the next step to try [d], and the step with which to begin after an event like the one before,
    as the first step showed it [d].
    """
    day, now = start, state
    change, drift, opening = rates(day, now, True), (0.0, 0.0), 0.0
    while day < end - 1e-9:
        left = end - day
        used = left if step >= left else (0.5 * left if step > 0.5 * left else step)
        then, after, (err_i, err_o, err_water) = _step(rates, day, now, change, used, drift)
        error = max(max(largest(err_i), largest(err_o)) / TOLERANCE_K, largest(err_water) / TOLERANCE_WATER)
        # Long steps lean on the approximate Jacobian, so they are held to a smaller error than short ones.
        error *= max(0.8, sqrt(used)) / slack
        factor = min(4.0, max(0.2, 0.8 / (error + 1e-9) ** (1.0 / 3.0)))
        if error <= 1.0:
            seen(day, day + used, now, then, change, after)
            drift = _drift(now, then, change, after, used)
            day, now, change = day + used, then, after
            opening = opening or used * factor
            step = min(LONGEST, max(step, used * factor) if used < step else used * factor)
        else:
            step = used * factor
    return now, step, opening


def _drift(now: Sequence[Number], then: Sequence[Number], change: Change, after: Change, step: float) -> Pair:
    """How the rates of the two temperatures changed over a step by other things than these temperatures. [K/d2]"""
    warmer_i, warmer_o = then[CORE] - now[CORE], then[SHELL] - now[SHELL]
    a, b, c, d = after[STEEP:]
    return (
        (after[CORE] - change[CORE] - a * warmer_i - b * warmer_o) / step,
        (after[SHELL] - change[SHELL] - c * warmer_i - d * warmer_o) / step,
    )


def _step(
    rates: Rates, day: float, state: Sequence[Number], f0: Change, step: float, drift: Pair
) -> tuple[list[Number], Change, tuple[Number, Number, Number]]:
    """One step: the new state, the rates near it and the estimated errors of core, shell [K] and shell's water."""
    half, sixth, weight = 0.5 * step, step / 6.0, GAMMA * step
    f0_i, _, _, _, f0_o, _, _, _, _, _, a, b, c, d = f0
    # a, b, c, d become the inverse of 1 - weight times the Jacobian
    a, b, c, d = 1.0 - weight * d, weight * b, weight * c, 1.0 - weight * a
    scale = 1.0 / (a * d - b * c)
    a, b, c, d = a * scale, b * scale, c * scale, d * scale
    slow_i, slow_o = weight * drift[0], weight * drift[1]
    u_i, u_o = f0_i + slow_i, f0_o + slow_o
    k1_i, k1_o = a * u_i + b * u_o, c * u_i + d * u_o
    middle = [u + half * k for u, k in zip(state, f0)]  # noqa: B905  strict costs time, and f0 is longer
    middle[CORE], middle[SHELL] = state[CORE] + half * k1_i, state[SHELL] + half * k1_o
    f1 = rates(day + half, middle)
    f1_i, f1_o = f1[CORE], f1[SHELL]
    u_i, u_o = f1_i - k1_i, f1_o - k1_o
    k2_i, k2_o = a * u_i + b * u_o + k1_i, c * u_i + d * u_o + k1_o
    ahead = [u + step * k for u, k in zip(state, f1)]  # noqa: B905
    ahead[CORE], ahead[SHELL] = ahead_i, ahead_o = state[CORE] + step * k2_i, state[SHELL] + step * k2_o
    f2 = rates(day + step, ahead, True)
    u_i = f2[CORE] - E32 * (k2_i - f1_i) - 2.0 * (k1_i - f0_i) + slow_i
    u_o = f2[SHELL] - E32 * (k2_o - f1_o) - 2.0 * (k1_o - f0_o) + slow_o
    u_i, u_o = k1_i - 2.0 * k2_i + a * u_i + b * u_o, k1_o - 2.0 * k2_o + c * u_i + d * u_o
    err_i, err_o = sixth * (a * u_i + b * u_o), sixth * (c * u_i + d * u_o)
    then = [u + sixth * (p + 4.0 * q + r) for u, p, q, r in zip(state, f0, f1, f2)]  # noqa: B905
    then[CORE], then[SHELL] = ahead_i + err_i, ahead_o + err_o
    return then, f2, (err_i, err_o, sixth * (f0[7] - 2.0 * f1[7] + f2[7]) / then[7])
