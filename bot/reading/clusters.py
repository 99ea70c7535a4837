"""Puts texts that were not understood together by likeness, so that a trainer reads each kind once."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence

import msgspec
from rapidfuzz import fuzz, process

from bot.reading.letters import Letters

ALIKE = 75.0
"""From this likeness on (0 to 100) two texts are of one kind."""
SHORTEST = 5
"""Shorter texts are of one kind only if they are the same: one letter makes another word of them."""
_NUMBER = re.compile(r"\+?\d[\d ]{6,}\d")


class Cluster(msgspec.Struct):
    """Texts of one kind with how often each was written, the most frequent first; `key` is their pattern."""

    key: str
    texts: list[tuple[str, int]]

    @property
    def count(self) -> int:
        return sum(count for _, count in self.texts)


def clusters(texts: Iterable[str]) -> list[Cluster]:
    """Texts of like letters or like words together, the largest cluster first.

    Telephone numbers are struck out: nobody needs them to learn a word.
    """
    letters = Letters()
    written: dict[str, Counter[str]] = {}
    for text in texts:
        shown = _NUMBER.sub("#", " ".join(text.split()))
        key = " ".join(letters.plain(shown).split())
        written.setdefault(key, Counter())[shown] += 1
    found: list[Cluster] = []
    keys: list[str] = []
    for key, shown_as in sorted(written.items(), key=lambda each: (-each[1].total(), each[0])):
        like = _like(key, keys)
        entry = (shown_as.most_common(1)[0][0], shown_as.total())
        if like is None:
            keys.append(key)
            found.append(Cluster(key, [entry]))
        else:
            found[like].texts.append(entry)
    return sorted(found, key=lambda each: (-each.count, each.key))


def _like(key: str, keys: Sequence[str]) -> int | None:
    """The number of the cluster that a text belongs to."""
    if len(key) < SHORTEST:
        return None
    best = process.extractOne(key, keys, scorer=_likeness, score_cutoff=ALIKE)
    return None if best is None else int(best[2])


def _likeness(one: str, other: str, *, score_cutoff: float | None = None) -> float:
    if min(len(one), len(other)) < SHORTEST:
        return 0.0
    return max(
        fuzz.ratio(one, other, score_cutoff=score_cutoff),
        fuzz.token_sort_ratio(one, other, score_cutoff=score_cutoff),
    )


def counted(words: Iterable[str], least: int = 1) -> list[tuple[str, int]]:
    """Words by how often they stand, the most frequent first; those below `least` are left out."""
    return [(word, count) for word, count in Counter(words).most_common() if count >= least]
