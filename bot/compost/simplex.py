"""Small linear programmes, solved exactly by the simplex method on a dense tableau.

scipy would do, but its start-up alone is longer than a whole answer may take, and it is no part of the
running bot.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from .errors import CannotReach

Array = NDArray[np.float64]
_TINY = 1e-10
_MOST_STEPS = 2000
# Dantzig's rule is fast but may circle where corners coincide; Bland's rule never does, and takes over after
# this.
_BLAND_AFTER = 200


def minimise(cost: Any, at_most: Any, limits: Any, equal: Any, values: Any) -> tuple[Array, float]:
    """Minimise cost . x over x >= 0 with at_most x <= limits and equal x = values.

    cost : one for each of n variables. at_most, limits : m rows of n, and m numbers. equal, values : the same
    for equations. Any may be lists; give empty ones where there are none.
    Returns the variables and the least cost.
    Raises CannotReach: no_solution where the rows contradict each other, unbounded where the cost has no
    floor.
    Source: two-phase simplex, Dantzig 1963, Linear Programming and Extensions; Bland 1977 against circling.

    >>> x, least = minimise([-3.0, -2.0], [[1, 1], [1, 3]], [4, 6], [], [])
    >>> [round(float(v), 6) for v in x], round(least, 6)
    ([4.0, 0.0], -12.0)
    """
    cost = np.asarray(cost, float)
    n = len(cost)
    upper, same = np.asarray(at_most, float).reshape(-1, n), np.asarray(equal, float).reshape(-1, n)
    rows, m = len(upper) + len(same), len(upper)
    table = np.zeros((rows + 1, n + m + rows + 1))
    table[:m, :n], table[m:rows, :n] = upper, same
    table[:m, n : n + m] = np.eye(m)
    table[:rows, -1] = np.concatenate([np.asarray(limits, float).ravel(), np.asarray(values, float).ravel()])
    table[:rows][table[:rows, -1] < 0] *= -1
    # A slack that kept its sign can start in the basis; only the other rows need an artificial variable.
    own_slack = [i < m and table[i, n + i] > 0 for i in range(rows)]
    basis = [n + i if own_slack[i] else n + m + i for i in range(rows)]
    table[:rows, n + m : -1] = np.eye(rows)
    for i in range(rows):
        if not own_slack[i]:
            table[-1] -= table[i]
    table[-1, n + m : -1] = 0.0
    _walk(table, basis, n + m)
    if table[-1, -1] < -1e-7 * (1 + np.abs(table[:rows, -1]).max(initial=0.0)):
        raise CannotReach("amounts", "no_solution")
    table[-1] = 0.0
    table[-1, :n] = cost
    _drive_out(table, basis, n + m)
    for i, j in enumerate(basis):
        table[-1] -= table[-1, j] * table[i]
    _walk(table, basis, n + m)
    x = np.zeros(table.shape[1])
    x[basis] = table[:-1, -1]
    return np.maximum(x[:n], 0.0), float(cost @ x[:n])


def _walk(table: Array, basis: list[int], columns: int) -> None:
    """Go from corner to corner until no column below `columns` lowers the last row."""
    for step in range(_MOST_STEPS):
        reduced = table[-1, :columns]
        if step < _BLAND_AFTER:
            entering = int(reduced.argmin())
            if reduced[entering] >= -_TINY:
                return
        else:
            falling = np.flatnonzero(reduced < -_TINY)
            if not len(falling):
                return
            entering = int(falling[0])
        column = table[:-1, entering]
        rising = np.flatnonzero(column > _TINY)
        if not len(rising):
            raise CannotReach("amounts", "unbounded")
        ratios = table[rising, -1] / column[rising]
        tied = rising[ratios <= ratios.min() + _TINY]
        _pivot(table, basis, int(min(tied, key=lambda i: basis[i])), entering)
    raise CannotReach("amounts", "no_end")


def _pivot(table: Array, basis: list[int], row: int, column: int) -> None:
    table[row] /= table[row, column]
    factors = table[:, column].copy()
    factors[row] = 0.0
    table -= np.outer(factors, table[row])
    basis[row] = column


def _drive_out(table: Array, basis: list[int], columns: int) -> None:
    """Take artificial variables that rest at zero out of the basis; a row without any other is redundant."""
    for i, j in enumerate(basis):
        if j >= columns:
            usable = np.flatnonzero(np.abs(table[i, :columns]) > 1e-9)
            if len(usable):
                _pivot(table, basis, i, int(usable[0]))
