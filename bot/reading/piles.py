"""Finds the letter of the pile that a text means: `pile B cold`, `B: hot`, `B is wet`."""

from __future__ import annotations

import re
from collections.abc import Mapping

import msgspec

from bot.reading.lexicon import UNITS, Lexicon
from bot.reading.matching import Matches

_LONE_LETTER = re.compile(r"(?<![^\W_])[A-Ha-h](?![^\W_]|['’])")
_LETTERS = frozenset("abcdefgh")
_TOLD = frozenset({
    "feel", "squeeze", "smell", "sight", "rain", "topic", "alone", "reply", "answer", "temperature", "lesson", "stranger",
})  # fmt: skip


class Named(msgspec.Struct):
    """The letter, and the token that it is."""

    letter: str | None = None
    token: int = -1


def find_pile(text: str, matches: Matches, lexicons: Mapping[str, Lexicon]) -> Named:
    """The one letter that names a pile. A word for the pile stands beside it, or the text begins with it.

    A letter that is a word of the language (the article of `A pile is cold`) must follow the word or have a colon.
    """
    letters = [i for i, token in enumerate(matches.tokens) if token.kind == "word" and token.text in _LETTERS]
    if not letters:
        return Named()
    written = _LONE_LETTER.findall(text)
    if len(written) != len(letters):
        written = [matches.tokens[i].text for i in letters]
    shouted = not any(char.islower() for char in text)
    main = lexicons.get(matches.written.main)
    named = [
        Named(matches.tokens[i].text.upper(), i)
        for i, char in zip(letters, written, strict=True)
        if _names(i, char.isupper(), shouted, _is_word(matches.tokens[i].text, main), matches)
    ]
    return named[0] if len({each.letter for each in named}) == 1 else Named()


def _is_word(letter: str, lexicon: Lexicon | None) -> bool:
    """Whether the letter says something in the language; as a unit or a side it does not stand alone."""
    if lexicon is None or letter not in lexicon.known:
        return False
    senses = lexicon.meaning(letter) if letter in lexicon.meant else frozenset()
    return (
        letter in lexicon.skip or any(each.category not in (*UNITS, "side") for each in senses) or not senses
    )


def _names(i: int, upper: bool, shouted: bool, is_word: bool, matches: Matches) -> bool:
    tokens = matches.tokens
    piles = [span for span in matches.of("about") if span.id == "pile"]
    after_pile = any(span.last == i - 1 for span in piles)
    following = tokens[i + 1] if i + 1 < len(tokens) else None
    if after_pile:
        return (
            following is None or following.text == ":" or (upper and not (shouted and is_word)) or not is_word
        )
    if not upper or (following is not None and following.kind == "number" and _is_measure(i, matches)):
        return False
    colon = following is not None and following.text in ":-="
    before_pile = any(span.first == i + 1 for span in piles)
    begins = all(token.kind == "mark" for token in tokens[:i])
    told = following is None or any(each.category in _TOLD for each in matches.spans)
    return (begins and colon) or (not is_word and (before_pile or (begins and told)))


def _is_measure(i: int, matches: Matches) -> bool:
    return any(span.first == span.last == i for span in matches.of(*UNITS, "side"))
