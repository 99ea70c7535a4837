"""Finds the word that a misspelt word was meant to be, or says that it could be several."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

from rapidfuzz.distance import OSA
from rapidfuzz.process import extract

from bot.reading.lexicon import Lexicon

SHORTEST, LONG, LONGEST = 4, 10, 30
_REPEATED = re.compile(r"(.)\1+")


class Guess(NamedTuple):
    """A word of a word list that an unknown word is near to."""

    code: str
    word: str


def mistakes_allowed(length: int) -> int:
    """How many letters may be wrong, left out, added or swapped in a word of that length."""
    if length < SHORTEST:
        return 0
    return 1 if length < LONG else 2


def _begins_alike(word: str, other: str) -> bool:
    """People seldom err in the first letter: it is the same, left out, swapped, or has one before it."""
    return word[0] == other[0] or word[0] == other[1] or word[1] == other[0]


class Speller:
    """Looks through the words of all lists; ordinary words of a list stand in the way of a repair."""

    def __init__(self, lexicons: Mapping[str, Lexicon]) -> None:
        self._owners: dict[str, list[str]] = {}
        self._by_letter: dict[str, list[str]] = {}
        self._undoubled: dict[str, set[str]] = {}
        self._meant = {code: lexicon.meant for code, lexicon in lexicons.items()}
        words = {word for lexicon in lexicons.values() for word in lexicon.known}
        for word in sorted(words):
            self._owners[word] = [code for code, meant in self._meant.items() if word in meant]
            self._undoubled.setdefault(_REPEATED.sub(r"\1", word), set()).add(word)
            if SHORTEST <= len(word) <= LONGEST:
                for letter in {word[0], word[1]}:
                    self._by_letter.setdefault(letter, []).append(word)
        self.guesses = lru_cache(maxsize=4096)(self._guesses)

    def _guesses(self, word: str) -> tuple[Guess, ...]:
        """The nearest words with a meaning; none if an ordinary word is as near."""
        nearest = self._undoubled_words(word) or self._near_words(word)
        if any(not self._owners[each] for each in nearest):
            return ()
        return tuple(Guess(code, each) for each in nearest for code in self._owners[each])

    def _undoubled_words(self, word: str) -> list[str]:
        """`hooot`, `wheelbarow`: the same but for doubled letters."""
        if len(word) < 3 or len(word) > LONGEST:
            return []
        found = self._undoubled.get(_REPEATED.sub(r"\1", word), set())
        return sorted(found) if all(len(each) > 2 for each in found) else []

    def _near_words(self, word: str) -> list[str]:
        allowed = mistakes_allowed(len(word))
        if not allowed or len(word) > LONGEST:
            return []
        choices = list(dict.fromkeys(self._by_letter.get(word[0], []) + self._by_letter.get(word[1], [])))
        found = extract(word, choices, scorer=OSA.distance, score_cutoff=allowed, limit=None)
        # A short word of the list allows no more mistakes than its own length does.
        close = [
            (distance, each)
            for each, distance, _ in found
            if distance <= mistakes_allowed(len(each)) and _begins_alike(word, each)
        ]
        best = min((distance for distance, _ in close), default=0)
        return sorted(each for distance, each in close if distance == best)
