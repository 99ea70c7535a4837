"""The core checked against the outside: one row a published, recalled or defined value.

`python -m bot verify` prints the rows and tests/compost/test_checks.py runs them; each is written down once,
here. Every module of this package holds a tuple `ROWS`, and is found by itself.
"""

from __future__ import annotations

import importlib
import math
import pkgutil
from collections.abc import Callable, Iterator
from typing import Literal

import msgspec

Mark = Literal["published", "published, restated", "from memory", "common practice", "definition"]


class Check(msgspec.Struct, frozen=True):
    """One value: where it comes from, what it should be [unit] and within what, and how the core computes
    it."""

    id: str
    quantity: str
    source: str
    mark: Mark
    expected: float
    within: float
    unit: str
    compute: Callable[[], float]


class Outcome(msgspec.Struct, frozen=True):
    """A check with what was computed."""

    check: Check
    computed: float

    @property
    def error(self) -> float:
        """Computed less expected. [unit of the check]"""
        return self.computed - self.check.expected

    @property
    def passed(self) -> bool:
        """Within the tolerance; never true for NaN."""
        return math.isfinite(self.computed) and abs(self.error) <= self.check.within + 1e-9


def all_checks() -> Iterator[Check]:
    """Every row of every module."""
    for module in sorted(pkgutil.iter_modules(__path__), key=lambda module: module.name):
        yield from importlib.import_module(f"{__name__}.{module.name}").ROWS


def run(check: Check) -> Outcome:
    """Compute one row. An error of the core counts as a miss, with NaN computed."""
    try:
        return Outcome(check, float(check.compute()))
    except Exception:  # any failure of a row is a miss
        return Outcome(check, math.nan)


def as_line(outcome: Outcome) -> str:
    """One line of the table: ok or FAIL, mark, id, quantity, expected, computed, error, source."""
    check = outcome.check
    word = "ok  " if outcome.passed else "FAIL"
    return (
        f"{word} {check.mark:<19} {check.id:<10} {check.quantity}: expected {check.expected:g} {check.unit}"
        f" within {check.within:g}, computed {outcome.computed:.5g}, error {outcome.error:+.3g}"
        f" | {check.source}"
    )
