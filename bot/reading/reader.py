"""Reads a farmer's text: one `Meaning` for whatever is sent, and never an exception."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence

import msgspec

from bot.reading.entries import KEYWORDS, symbols
from bot.reading.interpret import Interpreter
from bot.reading.joined import Parter
from bot.reading.letters import Letters
from bot.reading.lexicon import Lexicon
from bot.reading.matching import Matcher
from bot.reading.meaning import Kind, Meaning
from bot.reading.tokens import Cutter
from bot.reading.topics import whole_topic
from bot.reading.words import WordList, fingerprint, packed, unpacked


class Reader:
    """Holds the word lists of all languages, ready for reading; building one takes a moment, so keep it.

    lists : word lists by language code, as `load_languages` gives them.
    like : a reader that has read most of these lists already, so that only the changed ones are made ready.
    """

    def __init__(self, lists: Mapping[str, WordList], like: Reader | None = None) -> None:
        self._kept = {code: packed(words) for code, words in lists.items()}
        self._names = {code: words.name for code, words in lists.items()}
        self._like = {code: words.like for code, words in lists.items()}
        self._read_as = {code: words.like for code, words in lists.items() if words.like}
        lists = _whole(lists)
        same = {letter: plain for words in lists.values() for letter, plain in words.letters.items()}
        used = {char for words in lists.values() for char in symbols(words)}
        self._spelt = (same, used)
        self._letters: Letters = Letters(same, used)
        ready: dict[str, Lexicon] = {}
        same_word: dict[str, str] = {}
        if like and like._spelt == self._spelt:
            self._letters, ready = like._letters, like._lexicons
        self._lexicons: dict[str, Lexicon] = {
            code: ready[code]
            if code in ready and ready[code].made_of == fingerprint(words)
            else Lexicon(words, self._letters, same_word)
            for code, words in lists.items()
        }
        self._cutter = Cutter(_with_digits(self._lexicons.values()), _glued(self._lexicons.values()))
        self._parter = Parter(self._lexicons, self._letters, self._cutter.cut)
        self._matcher = Matcher(self._lexicons)
        self._interpreter = Interpreter(self._lexicons)

    def read(
        self, text: str, language: str, expect: Kind | None = None, options: Sequence[str] = ()
    ) -> Meaning:
        """What a text means to a farmer of that language.

        expect : the kind of the open question, which decides what a bare `2` or `dry` is.
        options : ids of the reply words, or of the materials, that the open question offers.
        """
        language = self._read_as.get(language, language)
        tokens = self._parter.part(self._cutter.cut(self._letters.plain(text)))
        if all(token.kind == "mark" for token in tokens):
            return Meaning(text=text, ask_again=True)
        whole = whole_topic(tokens, self._lexicons, language)
        if whole in KEYWORDS:
            return Meaning(text=text, understood=True, topic=whole, topic_alone=True)
        matches = self._matcher.match(tokens, language)
        meaning = self._interpreter.meaning(text, matches, expect, frozenset(options), whole)
        if expect == "language" and not meaning.language:
            # Who is asked for a language and writes a sentence has told it.
            meaning = msgspec.structs.replace(meaning, language=self._matcher.language_of(tokens))
        if meaning.language:
            meaning = msgspec.structs.replace(meaning, language=self._offered(meaning.language, text))
        if matches.written.other and expect not in ("text", "language"):
            other = self._offered(self._read_as.get(matches.written.other, matches.written.other), text)
            return msgspec.structs.replace(meaning, written_in=other)
        return meaning

    @property
    def languages(self) -> tuple[str, ...]:
        """Codes of the languages that can be read."""
        return tuple(self._kept)

    @property
    def lists(self) -> dict[str, WordList]:
        """The word lists that this reader was made of. They are kept packed, and unpacked at each call."""
        return {code: unpacked(kept) for code, kept in self._kept.items()}

    def list_of(self, code: str) -> str:
        """The one of the lists given that a language is read by."""
        whole = self._read_as.get(code, code)
        return whole if whole in self._kept else next(iter(self._ways(whole)), code)

    def _ways(self, whole: str) -> list[str]:
        return [code for code, like in self._like.items() if whole in (code, like)]

    def _offered(self, code: str, text: str) -> str:
        """A language as it is offered. One that may be written in two ways is taken as the text writes it."""
        ways = self._ways(self._read_as.get(code, code))
        if len(ways) < 2:
            return ways[0] if ways else code
        alike = [way for way in ways if self._names[way].isascii() == text.isascii()]
        return code if code in self._read_as or not alike else alike[0]

    def unknown_words(self, text: str, language: str) -> list[str]:
        """The words of a text that no list with a say in it knows."""
        language = self._read_as.get(language, language)
        tokens = self._parter.part(self._cutter.cut(self._letters.plain(text)))
        unknown = self._matcher.match(tokens, language).unknown if tokens else 0
        return [token.text for i, token in enumerate(tokens) if unknown >> i & 1]


def _whole(lists: Mapping[str, WordList]) -> dict[str, WordList]:
    """The lists that are read: one for a language written in two ways, also where only the second is offered."""
    whole = {code: words for code, words in lists.items() if not words.like}
    for words in lists.values():
        if words.like and words.like not in whole:
            whole[words.like] = msgspec.structs.replace(words, code=words.like, like="")
    return whole


def _with_digits(lexicons: Collection[Lexicon]) -> set[str]:
    return {
        w for lexicon in lexicons for w in lexicon.meant if re.search(r"\d", w) and re.search(r"[^\W\d]", w)
    }


def _glued(lexicons: Collection[Lexicon]) -> dict[str, tuple[str, str]]:
    """What is typed in one word between two numbers: the `mx` of `2mx2m`."""
    return {
        unit + between: (unit, between)
        for lexicon in lexicons
        for betweens in [list(_single_words(lexicon, "between"))]
        for unit in _single_words(lexicon, "length")
        for between in betweens
        if unit + between not in lexicon.known
    }


def _single_words(lexicon: Lexicon, category: str) -> Iterator[str]:
    for word, ends in lexicon.tree.single_words():
        if any(number >= 0 and lexicon.senses[number].category == category for number in ends):
            yield word
