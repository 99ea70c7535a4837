"""The heap as a body: its size and shape, what is wrong with a size, surfaces, and how it settles."""

from __future__ import annotations

import math
from typing import Literal

import msgspec

from .constants import (
    LEAN,
    PILE_HEIGHT_M,
    PILE_SIDE_M,
    PILE_SMALLEST_M,
    PILE_TALLEST_M,
    SETTLING,
    SETTLING_RATE,
    TOP_LEAST,
)
from .errors import OutOfRange, check_range

Shape = Literal["upright", "tapered", "dome"]
SizeNote = Literal["too_small", "too_tall"]


class Size(msgspec.Struct, frozen=True):
    """Length and width on the ground, height, as a heap is built. [m]

    shape : upright sides; tapered (each side leans in 20 cm a metre); dome (half an ellipsoid).
    """

    length_m: float
    width_m: float
    height_m: float
    shape: Shape = "upright"

    @property
    def base_m2(self) -> float:
        """Ground that it covers. [m2]"""
        return area_at(self, 0.0)

    @property
    def volume_m3(self) -> float:
        """Volume as built. [m3]"""
        return volume_below(self, self.height_m)


def check_size(size: Size) -> Size:
    """The size itself when a farmer could build it: sides 0.3 to 12 m, height 0.3 to 3 m.

    Raises OutOfRange, which names the side that is wrong. Source: estimate; see `constants`.
    """
    check_range("length_m", size.length_m, *PILE_SIDE_M, "m")
    check_range("width_m", size.width_m, *PILE_SIDE_M, "m")
    check_range("height_m", size.height_m, *PILE_HEIGHT_M, "m")
    return size


def size_notes(size: Size) -> tuple[SizeNote, ...]:
    """What is wrong with a size that can be built: too small to hold heat (a side under 1 m), too tall to
    breathe.

    Raises OutOfRange. Source: smallest 1 x 1 x 1 m, FAO Soils Bulletin 80 (2005); tallest 2 m, common
    practice.

    >>> size_notes(Size(0.8, 1.0, 2.5))
    ('too_small', 'too_tall')
    """
    check_size(size)
    notes: list[SizeNote] = []
    if min(size.length_m, size.width_m, size.height_m) < PILE_SMALLEST_M - 1e-9:
        notes.append("too_small")
    if size.height_m > PILE_TALLEST_M + 1e-9:
        notes.append("too_tall")
    return tuple(notes)


def top_sides(size: Size) -> tuple[float, float]:
    """Length and width of the flat top. [m]

    A tapered heap's sides lean in 20 cm a metre each, but leave at least two fifths; a dome has no flat top.
    Raises nothing. Source: common practice; lean and least top are estimates.
    """
    if size.shape == "upright":
        return size.length_m, size.width_m
    if size.shape == "dome":
        return 0.0, 0.0
    lean = 2 * LEAN * size.height_m
    length, width = (max(side - lean, TOP_LEAST * side) for side in (size.length_m, size.width_m))
    return length, width


def area_at(size: Size, height_m: float) -> float:
    """Area of the level cut at a height. [m2]

    height_m : above the ground, 0 to the heap's height. [m]
    Raises OutOfRange. Source: geometry of box, frustum and half ellipsoid (definition).
    """
    share = _share(size, height_m)
    if size.shape == "dome":
        return math.pi / 4 * size.length_m * size.width_m * (1 - share**2)
    length, width = top_sides(size)
    return (size.length_m + (length - size.length_m) * share) * (
        size.width_m + (width - size.width_m) * share
    )


def volume_below(size: Size, height_m: float) -> float:
    """Volume of the heap below a height. [m3]

    height_m : above the ground, 0 to the heap's height. [m]
    Raises OutOfRange.
    Source: prismatoid rule h (A0 + 4 Am + A1) / 6, which is exact for these shapes (definition).

    >>> round(volume_below(Size(2, 2, 2, "dome"), 2), 3)  # pi/6 l w h
    4.189
    """
    middle = area_at(size, height_m / 2)
    return height_m * (area_at(size, 0.0) + 4 * middle + area_at(size, height_m)) / 6


def surface_m2(size: Size) -> float:
    """Surface that air touches: sides and top, not the ground. [m2]

    Raises nothing.
    Source: plane geometry; a dome by Thomsen's formula for ellipsoids, p = 1.6075, right within 1.1 % (from
    memory).

    >>> surface_m2(Size(2, 2, 2))
    20.0
    """
    if size.shape == "dome":
        a, b, c = size.length_m / 2, size.width_m / 2, size.height_m
        p = 1.6075
        mean = ((a * b) ** p + (a * c) ** p + (b * c) ** p) / 3
        return float(2 * math.pi * mean ** (1 / p))
    length, width = top_sides(size)
    end = math.hypot(size.height_m, (size.length_m - length) / 2)
    side = math.hypot(size.height_m, (size.width_m - width) / 2)
    return length * width + (size.width_m + width) * end + (size.length_m + length) * side


def settled_volume_m3(volume_m3: float, age_days: float) -> float:
    """Volume of a heap after some days of working, turned or not.

    volume_m3 : as built, 0 to 1000. [m3] age_days : 0 to 3650. [d] Returns the volume. [m3]
    Raises OutOfRange.
    Source: ARCC Agricultural Reviews R-2197: 20 to 60 % less in the end; the middle, 40 %, approached with a
    time constant of 30 d (estimate).

    >>> round(settled_volume_m3(8.0, 60), 2)
    5.23
    """
    check_range("volume_m3", volume_m3, 0.0, 1000.0, "m3")
    check_range("age_days", age_days, 0.0, 3650.0, "d")
    return volume_m3 * (1 - SETTLING * (1 - math.exp(-SETTLING_RATE * age_days)))


def _share(size: Size, height_m: float) -> float:
    if not -1e-9 <= height_m <= size.height_m + 1e-9:
        raise OutOfRange("height_m", height_m, 0.0, size.height_m, "m")
    return min(1.0, max(0.0, height_m / size.height_m))
