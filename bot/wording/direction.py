"""Keeps right-to-left and left-to-right writing apart where a message holds both (Unicode UAX 9).

A number or comma after a word of the other direction is drawn into that word's run, so that `1 English, 2 Hausa` is
shown out of order in an Arabic message. An invisible mark of the message's own direction after the word prevents it.
Isolates would do the same at both ends of the word for twice the letters, and older phones show them as boxes.
"""

from __future__ import annotations

import unicodedata
from functools import cache

from babel import Locale

LEFT_TO_RIGHT, RIGHT_TO_LEFT = "\u200e", "\u200f"
"""The marks: LRM and RLM."""


@cache
def is_right_to_left(language: str) -> bool:
    return Locale.parse(language).character_order == "right-to-left"


def strong(char: str) -> str | None:
    """The mark of a letter's direction; None for digits, signs and spaces, which have none of their own."""
    kind = unicodedata.bidirectional(char)
    return LEFT_TO_RIGHT if kind == "L" else RIGHT_TO_LEFT if kind in ("R", "AL") else None


def closed(text: str, language: str) -> str:
    """The text, with the mark of the language's direction after it if its last letter runs the other way.

    A bracket or sign at its end is first given the direction of the text: `Hindi (Roman)` keeps its bracket.
    """
    own = RIGHT_TO_LEFT if is_right_to_left(language) else LEFT_TO_RIGHT
    last = next((found for char in reversed(text) if (found := strong(char))), own)
    if last == own:
        return text
    return text + own if text[-1].isalnum() else text + last + own


def astray(text: str, language: str) -> str | None:
    """What a phone would show out of order in a right-to-left message, or None.

    The first letter must run as the language does, for phones lay a message out by it. A number that follows a Latin
    word across a space or sign would stand on the wrong side of it.
    """
    if not is_right_to_left(language):
        return None
    before = None
    apart = False
    for i, char in enumerate(text):
        found = strong(char)
        if found == LEFT_TO_RIGHT and before is None:
            return text[i : i + 20]
        if char.isdecimal() and before == LEFT_TO_RIGHT and apart:
            return text[max(0, i - 20) : i + 1]
        before = found or before
        apart = found is None and (apart or not (char.isdecimal() or char in ".,"))
    return None
