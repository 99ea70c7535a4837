"""Takes apart what a language writes in one word: `مترين` is 2 metres, `وروث` is and + manure.

Knows no words: what stands for what, and which beginnings are words of their own, comes from the word lists.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from functools import lru_cache

import msgspec

from bot.reading.letters import Letters
from bot.reading.lexicon import Lexicon
from bot.reading.tokens import MAX_TOKENS, Token


class Parter:
    """cut : cuts a plain text into tokens, as every message is cut."""

    def __init__(
        self, lexicons: Mapping[str, Lexicon], letters: Letters, cut: Callable[[str], list[Token]]
    ) -> None:
        self._lexicons = list(lexicons.values())
        self._stands_for: dict[str, tuple[Token, ...]] = {}
        for lexicon in self._lexicons:
            for word, text in lexicon.stands_for.items():
                self._stands_for[letters.plain(word).strip()] = tuple(cut(letters.plain(text)))
        self._joined = {lexicon.code: lexicon.joined for lexicon in self._lexicons if lexicon.joined}
        self._whole = {word for lexicon in self._lexicons for key in lexicon.whole for word in key.split()}
        self._parts = lru_cache(maxsize=4096)(self._parted)

    def part(self, tokens: list[Token]) -> list[Token]:
        """The tokens with every such word taken apart."""
        if not self._stands_for and not self._joined:
            return tokens
        parted: list[Token] = []
        for token in tokens:
            parts = self._parts(token.text) if token.kind == "word" else ()
            stuck = (token.stuck, *(True for _ in parts))
            parted += (
                [msgspec.structs.replace(each, stuck=s) for each, s in zip(parts, stuck, strict=False)]
                if parts
                else [token]
            )
        return parted[:MAX_TOKENS]

    def _parted(self, word: str) -> tuple[Token, ...]:
        if word in self._stands_for:
            return self._stands_for[word]
        if word in self._whole or any(word in lexicon.known for lexicon in self._lexicons):
            return ()
        for lexicon in self._lexicons:
            rest = _rest(word, self._joined.get(lexicon.code, ()))
            if rest and (rest in lexicon.known or lexicon.find(rest) or self._parts(rest)):
                first = Token("word", word[: -len(rest)])
                return (first, *(self._parts(rest) or (Token("word", rest),)))
        return ()


def _rest(word: str, beginnings: Collection[str]) -> str:
    """What follows a beginning that is a word of its own and is longer than it, or nothing."""
    for beginning in beginnings:
        if word.startswith(beginning) and len(word) > 2 * len(beginning):
            return word[len(beginning) :]
    return ""
