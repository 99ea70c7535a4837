"""How many parts a text costs: GSM 7-bit or UCS-2 (3GPP TS 23.038 and TS 23.040 clause 9.2.3.24.1)."""

from __future__ import annotations

from functools import cache

import gsm0338
import msgspec

from bot.messages import Encoding

GSM_ONE, GSM_JOINED = 160, 153
UCS_ONE, UCS_JOINED = 70, 67
CHAT_MOST = 900
"""Characters of a joined chat message: what a small screen shows without much scrolling; practice."""
ESCAPE = "\x1b"
"""Leads to the extension table; by itself it is no character, though the codec lets it through."""


class Parts(msgspec.Struct, frozen=True):
    """What a text costs. `units`: septets or UCS-2 units used."""

    segments: int
    encoding: Encoding
    units: int


@cache
def septets(character: str) -> int | None:
    """Septets of a character in the default alphabet: 1, 2 (by way of the escape), or None if it is not there."""
    if character == ESCAPE:
        return None
    try:
        return len(gsm0338.Codec().encode(character)[0])
    except UnicodeError:
        return None


def count(text: str) -> Parts:
    """Segments of a text.

    >>> count("a" * 160).segments, count("a" * 161).segments
    (1, 2)
    >>> count("\\u00e7").encoding
    'UCS-2'
    """
    # By kinds of characters: a message has 150 characters and 30 kinds, and each is counted several times over.
    kinds = set(text)
    if None not in {septets(c) for c in kinds}:
        twice = {c for c in kinds if septets(c) == 2}
        return _parts(text, twice, GSM_ONE, GSM_JOINED, "GSM-7")
    return _parts(text, {c for c in kinds if ord(c) > 0xFFFF}, UCS_ONE, UCS_JOINED, "UCS-2")


def _parts(text: str, twice: set[str], one: int, joined: int, encoding: Encoding) -> Parts:
    """twice : the characters that take two units."""
    total = len(text) + sum(text.count(c) for c in twice)
    if total <= one:
        return Parts(1, encoding, total)
    if not twice:
        return Parts(-(-total // joined), encoding, total)
    sizes = [2 if c in twice else 1 for c in text]
    segments, room = 1, joined
    for size in sizes:
        if size > room:  # a pair may not be split between parts
            segments, room = segments + 1, joined
        room -= size
    return Parts(segments, encoding, total)


def pack(texts: list[str], most: int = 2) -> list[list[int]]:
    """Which neighbouring texts to join into one SMS: where that costs no more than sending them apart.

    most : segments that a joined message may have.
    Returns groups of indices, in order.
    """
    groups: list[list[int]] = []
    for i, text in enumerate(texts):
        if groups:
            before = " ".join(texts[j] for j in groups[-1])
            together = count(f"{before} {text}").segments
            if together <= most and together <= count(before).segments + count(text).segments:
                groups[-1].append(i)
                continue
        groups.append([i])
    return groups


def pack_chat(texts: list[str], most: int = CHAT_MOST) -> list[list[int]]:
    """Which neighbouring texts to join into one chat message: as many as fit in `most` characters."""
    groups: list[list[int]] = []
    length = 0
    for i, text in enumerate(texts):
        if groups and length + 1 + len(text) <= most:
            groups[-1].append(i)
            length += 1 + len(text)
        else:
            groups.append([i])
            length = len(text)
    return groups
