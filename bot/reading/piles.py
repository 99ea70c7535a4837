"""Finds the letter of the pile that a text means: `pile B cold`, `B: hot`, `B is wet`."""

from __future__ import annotations

import re
from collections.abc import Mapping

import msgspec

from bot.reading.entries import UNITS
from bot.reading.lexicon import Lexicon
from bot.reading.matching import Matches

_LONE_LETTER = re.compile(r"(?<![^\W\d_])[A-Ha-h](?![^\W_]|['’])")
_LETTERS = frozenset("abcdefgh")
_TOLD = frozenset({
    "feel", "squeeze", "smell", "sight", "rain", "topic", "alone", "reply", "answer", "temperature", "lesson", "stranger",
})  # fmt: skip


class Named(msgspec.Struct):
    """The letter, and the token that it is."""

    letter: str | None = None
    token: int = -1


def find_pile(text: str, matches: Matches, lexicons: Mapping[str, Lexicon]) -> Named:
    """The one letter that names a pile. A word for the pile stands beside it, or the text begins or ends with it.

    A letter that is a word of the language (the article of `A pile is cold`) must follow the word or have a colon.
    """
    letters = [i for i, token in enumerate(matches.tokens) if token.kind == "word" and token.text in _LETTERS]
    if not letters:
        return Named()
    written = _LONE_LETTER.findall(text)
    if not written:  # a script without capitals: what stands for the letter there counts as one
        written = [matches.tokens[i].text.upper() for i in letters]
    elif len(written) != len(letters):
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
    following = tokens[i + 1] if i + 1 < len(tokens) else None
    if any(span.last == i - 1 for span in piles):
        return (
            following is None or following.text == ":" or (upper and not (shouted and is_word)) or not is_word
        )
    if not upper or (_is_measure(i, matches) and (following is None or following.kind == "number")):
        return False
    begins = all(token.kind == "mark" for token in tokens[:i])
    if begins and following is not None and following.text in ":-=":
        return True
    beside = any(span.first == i + 1 or _led_to(span.last, i, matches) for span in piles)
    ends, told = following is None, any(each.category in _TOLD for each in matches.spans)
    return not is_word and (beside or (begins and ends) or (told and (begins or ends)))


def _led_to(last: int, i: int, matches: Matches) -> bool:
    """Only words without weight stand between a word for the pile and the letter: `rundo la B`."""
    return last < i and all(
        matches.skipped >> j & 1 and matches.tokens[j].kind == "word" for j in range(last + 1, i)
    )


def _is_measure(i: int, matches: Matches) -> bool:
    return any(span.first == span.last == i for span in matches.of(*UNITS, "side"))
