"""Finds the languages that a text is written in, so that a word is not read through a list it does not belong to.

Short words mean different things in different lists (`sec`, `no`, `son`, `si`). The farmer's language wins where it
knows a word; another acts where the text is clearly written in it, or on words that the farmer's list does not know.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

import msgspec

from bot.reading.lexicon import Lexicon
from bot.reading.tokens import Token

LEAST_TELLING = 2
"""Words known to another language and not to the farmer's, from which on that language is taken to be meant."""
MOST_OWN = 4
"""So many words of the farmer's own to each of the other's, and the other is taken for chance."""
MOST_PRESENT = 2
"""Languages that are mixed into the main one; a text with words of more is no text."""
_WEIGHTY = 4
"""Letters of a Latin word that can tell a language by itself."""


class Written(msgspec.Struct):
    """In which languages a text is, by their codes.

    main : the one whose words win. other : the main one, if it is another than the farmer's beyond doubt.
    known : bits of the tokens that the main list knows.
    telling : for each other list, bits of the tokens that it knows and the main one does not.
    present : other languages that are meant as such, not only by a word.
    """

    main: str
    other: str | None
    known: int
    telling: dict[str, int]
    present: tuple[str, ...]

    def acting(self) -> tuple[str, ...]:
        """Every language with a say, the main one first."""
        return (self.main, *self.telling)


class LanguageFinder:
    def __init__(self, lexicons: Mapping[str, Lexicon]) -> None:
        self._lexicons = dict(lexicons)
        self._codes = list(lexicons)
        self._exact: dict[str, int] = {}
        for place, lexicon in enumerate(lexicons.values()):
            for word in lexicon.known:
                self._exact[word] = self._exact.get(word, 0) | 1 << place
        self.owners = lru_cache(maxsize=8192)(self._owners)

    def _owners(self, word: str) -> int:
        """Bits of the languages that know a word, as it stands or without its ending."""
        found = self._exact.get(word, 0)
        for place, lexicon in enumerate(self._lexicons.values()):
            if not found >> place & 1 and lexicon.find(word):
                found |= 1 << place
        return found

    def find(self, tokens: Sequence[Token], language: str) -> Written:
        known = self._known(tokens)
        own = known.get(language, 0)
        clear = self._clear(known, own, tokens, language)
        main = clear or language
        base = known.get(main, 0)
        telling = {code: bits & ~base for code, bits in known.items() if code != main and bits & ~base}
        present = [code for code, bits in telling.items() if _present(bits, base & ~known[code], tokens)]
        present = [code for code in present if not _outdone(telling[code], telling, present)]
        present = sorted(present, key=lambda code: -telling[code].bit_count())[:MOST_PRESENT]
        taken = _union(telling[code] for code in present)
        telling = {c: bits if c in present else bits & ~taken for c, bits in telling.items()}
        telling = {c: bits for c, bits in telling.items() if bits}
        other = clear if clear and not own & ~base else None
        return Written(main, other, base, telling, tuple(present))

    def clearly(self, tokens: Sequence[Token]) -> str | None:
        """The one language that a text is in without doubt: it knows two words, and more than any other does."""
        known = self._known(tokens)
        counts = sorted(((_telling_words(bits, tokens), code) for code, bits in known.items()), reverse=True)
        if not counts or counts[0][0] < LEAST_TELLING or (len(counts) > 1 and counts[1][0] == counts[0][0]):
            return None
        return counts[0][1]

    def _known(self, tokens: Sequence[Token]) -> dict[str, int]:
        """For each language the bits of the tokens that it knows; languages that know none are left out."""
        by_owners: dict[int, int] = {}
        for i, token in enumerate(tokens):
            if token.kind == "word" and (owners := self.owners(token.text)):
                by_owners[owners] = by_owners.get(owners, 0) | 1 << i
        known: dict[str, int] = {}
        for owners, bits in by_owners.items():
            for place, code in enumerate(self._codes):
                if owners >> place & 1:
                    known[code] = known.get(code, 0) | bits
        return known

    def _clear(
        self, known: Mapping[str, int], own: int, tokens: Sequence[Token], language: str
    ) -> str | None:
        """The one other language that knows much more of the text than the farmer's does."""
        best: list[tuple[int, str]] = []
        for code, bits in known.items():
            telling = _telling_words(bits & ~own, tokens)
            only_own = (own & ~bits).bit_count()
            if code != language and telling >= LEAST_TELLING and only_own * 3 <= telling:
                best.append((bits.bit_count(), code))
        best.sort(reverse=True)
        if not best or (len(best) > 1 and best[0][0] == best[1][0]):
            return None
        return best[0][1]


def _telling_words(bits: int, tokens: Sequence[Token]) -> int:
    """How many of the tokens say something of the language: one letter does not."""
    return sum(bits >> i & 1 for i, token in enumerate(tokens) if len(token.text) > 1)


def _present(telling: int, own: int, tokens: Sequence[Token]) -> bool:
    words, others = _telling_words(telling, tokens), own.bit_count()
    if not others:
        return words > 0
    if words >= LEAST_TELLING:
        return words * MOST_OWN >= others
    return words >= others and _weighty(telling, tokens)


def _outdone(bits: int, telling: Mapping[str, int], present: Iterable[str]) -> bool:
    """Whether another language knows all these words and more."""
    return any(bits | telling[other] == telling[other] != bits for other in present)


def _union(parts: Iterable[int]) -> int:
    whole = 0
    for bits in parts:
        whole |= bits
    return whole


def _weighty(bits: int, tokens: Sequence[Token]) -> bool:
    return any(bits >> i & 1 and weighty(token.text) for i, token in enumerate(tokens))


def weighty(word: str) -> bool:
    """Long enough, or in a script of its own, so that chance hardly makes it."""
    return len(word) >= _WEIGHTY or not word.isascii()
