"""A message that reports on several piles at once: `A warm, B cold`."""

from __future__ import annotations

import re
from collections.abc import Collection

BEFORE = 12
"""Letters that may stand before the first pile's letter: the word for a pile, a greeting."""


def parts_by_pile(text: str, letters: Collection[str]) -> list[tuple[str, str]]:
    """Each pile's letter with what is said of it; empty when fewer than two of the piles are named.

    letters : of the farmer's piles. They must be written as capitals, each once, the first near the beginning.

    >>> parts_by_pile("A warm, B: cold and wet", "ABC")
    [('A', 'A warm, '), ('B', 'B: cold and wet')]
    """
    named = re.compile(rf"(?<!\w)({'|'.join(sorted(letters, key=len, reverse=True))})(?!\w)")
    found = list(named.finditer(text)) if len(letters) > 1 else []
    if len(found) < 2 or len({m.group() for m in found}) != len(found) or found[0].start() > BEFORE:
        return []
    ends = [m.start() for m in found[1:]] + [len(text)]
    return [(m.group(), text[m.start() : end]) for m, end in zip(found, ends, strict=True)]
