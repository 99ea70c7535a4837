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
    """Looks through the words of the lists; ordinary words of a list stand in the way of a repair."""

    def __init__(self, lexicons: Mapping[str, Lexicon]) -> None:
        self._books = {code: _Book(lexicon) for code, lexicon in lexicons.items()}
        self.guesses = lru_cache(maxsize=4096)(self._guesses)

    def _guesses(self, word: str, main: str, others: tuple[str, ...]) -> tuple[Guess, ...]:
        """The nearest words with a meaning in the main language or, if that has none as near, in the others;
        none if an ordinary word is as near."""
        for codes in ((main,), others):
            found = [(code, *self._books[code].nearest(word)) for code in codes if code in self._books]
            least = min((distance for _, distance, words in found if words), default=None)
            near = [(code, words) for code, distance, words in found if words and distance == least]
            if near:
                return self._with_meaning(near)
        return ()

    def _with_meaning(self, near: list[tuple[str, list[str]]]) -> tuple[Guess, ...]:
        guesses = [Guess(code, word) for code, words in near for word in words]
        if any(each.word not in self._books[each.code].meant for each in guesses):
            return ()
        return tuple(guesses)


class _Book:
    """The words of one list, sorted for the search."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.meant = lexicon.meant
        self._by_letter: dict[tuple[str, int], list[str]] = {}
        self._known = lexicon.known
        self._undoubled: dict[str, list[str]] = {}
        for word in sorted(lexicon.known):
            if (single := _REPEATED.sub(r"\1", word)) != word:
                self._undoubled.setdefault(single, []).append(word)
            if SHORTEST <= len(word) <= LONGEST:
                for letter in {word[0], word[1]}:
                    self._by_letter.setdefault((letter, len(word)), []).append(word)

    def nearest(self, word: str) -> tuple[int, list[str]]:
        """The words that are nearest, and how many letters they differ in (0: only in doubled ones)."""
        undoubled = self._undoubled_words(word)
        return (0, undoubled) if undoubled else self._near_words(word)

    def _undoubled_words(self, word: str) -> list[str]:
        """`hooot`, `wheelbarow`: the same but for doubled letters."""
        if len(word) < 3 or len(word) > LONGEST:
            return []
        single = _REPEATED.sub(r"\1", word)
        found = sorted(self._undoubled.get(single, []) + [single] * (single in self._known))
        return found if all(len(each) > 2 for each in found) else []

    def _near_words(self, word: str) -> tuple[int, list[str]]:
        allowed = mistakes_allowed(len(word))
        if not allowed or len(word) > LONGEST:
            return 0, []
        lengths = range(len(word) - allowed, len(word) + allowed + 1)
        places = [(letter, length) for letter in {word[0], word[1]} for length in lengths]
        choices: list[str] = []
        for place in places:
            choices += self._by_letter.get(place, ())
        found = extract(word, choices, scorer=OSA.distance, score_cutoff=allowed, limit=None)
        # A short word of the list allows no more mistakes than its own length does.
        close = [
            (distance, each)
            for each, distance, _ in found
            if distance <= mistakes_allowed(len(each)) and _begins_alike(word, each)
        ]
        best = min((distance for distance, _ in close), default=0)
        return int(best), sorted({each for distance, each in close if distance == best})
