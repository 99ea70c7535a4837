"""What can go wrong in the core, as one tree.

CompostError
├── OutOfRange       a number outside its limits: name, value, low, high, unit
├── UnknownName      an id that the catalogue does not hold: kind, value
│   ├── UnknownMaterial
│   └── UnknownMeasure
├── BadData          a data file that cannot be used: entry, field, problem
├── CannotReach      no amounts do what was asked: target, reason
├── TooLittle        a ratio or a share of nothing: name, reason
└── BadReading       readings that cannot be true: name, reason
"""

from __future__ import annotations

import math


class CompostError(Exception):
    """Anything that the core refuses. Messages are for logs and command lines, not for farmers."""


class OutOfRange(CompostError, ValueError):
    """A number that is not finite or lies outside `low` to `high` [unit]."""

    def __init__(self, name: str, value: float, low: float, high: float, unit: str) -> None:
        self.name, self.value, self.low, self.high, self.unit = name, value, low, high, unit
        super().__init__(f"{name} is {value:g} {unit}: expected {low:g} to {high:g} {unit}")


class UnknownName(CompostError, LookupError):
    """An id that is not known. `kind` says of what: material, measure, crop, ..."""

    def __init__(self, kind: str, value: str) -> None:
        self.kind, self.value = kind, value
        super().__init__(f"unknown {kind}: {value!r}")


class UnknownMaterial(UnknownName):
    def __init__(self, value: str) -> None:
        super().__init__("material", value)


class UnknownMeasure(UnknownName):
    def __init__(self, value: str) -> None:
        super().__init__("measure", value)


class BadData(CompostError, ValueError):
    """An entry of a data file that cannot be used."""

    def __init__(self, entry: str, field: str, problem: str) -> None:
        self.entry, self.field, self.problem = entry, field, problem
        super().__init__(f"{entry}: {field}: {problem}" if field else f"{entry}: {problem}")


class CannotReach(CompostError):
    """No amounts reach the target. `target` is cn_ratio, moisture, size, ...; `reason` is an id such as
    nothing_rots, outside_extremes, not_enough."""

    def __init__(self, target: str, reason: str) -> None:
        self.target, self.reason = target, reason
        super().__init__(f"cannot reach {target}: {reason}")


class TooLittle(CompostError, ValueError):
    """A quantity without a value, for want of something to take it of: the C:N of a mix without nitrogen."""

    def __init__(self, name: str, reason: str) -> None:
        self.name, self.reason = name, reason
        super().__init__(f"{name} has no value: {reason}")


class BadReading(CompostError, ValueError):
    """A reading that contradicts another or cannot have been made yet. `reason`: in_the_future, ..."""

    def __init__(self, name: str, reason: str) -> None:
        self.name, self.reason = name, reason
        super().__init__(f"reading {name}: {reason}")


def check_range(name: str, value: float, low: float, high: float, unit: str) -> float:
    """The value itself if it is finite and within `low` to `high`.

    value : what came in. [unit]
    low, high : limits, both allowed. [unit]
    Returns the value. [unit]
    Raises OutOfRange.

    >>> check_range("moisture", 0.55, 0.0, 1.0, "kg/kg")
    0.55
    """
    if not math.isfinite(value) or not low <= value <= high:
        raise OutOfRange(name, value, low, high, unit)
    return value
