"""The heap as a body: its size, what is wrong with a size, and its shape."""

from __future__ import annotations

from typing import Literal

import msgspec

from .constants import PILE_HEIGHT_M, PILE_SIDE_M, PILE_SMALLEST_M, PILE_TALLEST_M
from .errors import check_range

SizeNote = Literal["too_small", "too_tall"]


class Size(msgspec.Struct, frozen=True):
    """Length, width and height of a heap as it is built. [m]"""

    length_m: float
    width_m: float
    height_m: float

    @property
    def base_m2(self) -> float:
        """Ground that it covers. [m2]"""
        return self.length_m * self.width_m

    @property
    def volume_m3(self) -> float:
        """Volume with upright sides. [m3]"""
        return self.base_m2 * self.height_m


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
