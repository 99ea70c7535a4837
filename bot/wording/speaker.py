"""Turns what a dialogue says into messages in a farmer's language."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

import msgspec

from bot.dialogue.checks import PLACEHOLDER
from bot.dialogue.turn import Saying
from bot.reading.words import WordList
from bot.wording.catalogs import SOURCE, Texts, catalog_path, read_texts
from bot.wording.folding import Folder
from bot.wording.segments import pack, pack_chat
from bot.wording.values import Writer


class WordNames:
    """The names that a word list gives to materials, measures and terms."""

    def __init__(self, words: WordList) -> None:
        self._words = words

    def material(self, material: str) -> str:
        if material in self._words.materials:
            return self._words.materials[material].say
        return self.term(material)

    def crop(self, crop: str) -> str:
        return self._words.crops[crop].say  # type: ignore[index]

    def measure(self, measure: str) -> Mapping[str, str]:
        return dict(self._words.measures[measure].say)  # type: ignore[index,arg-type]

    def term(self, term: str) -> str:
        if term in self._words.forbidden:
            return self._words.forbidden[term].say or term.replace("_", " ")
        return self._words.terms.get(term, term.replace("_", " "))

    def pattern(self, name: str, default: str) -> str:
        """How the language joins or names values, where it differs from the default."""
        return self._words.terms.get(name, default)


class Worded(msgspec.Struct, frozen=True):
    """A message to send, and the sayings that it holds."""

    text: str
    sayings: list[Saying]


class Speaker:
    """Words sayings in every language that has a word list. Raises BadFile when a catalog cannot be read."""

    def __init__(self, lists: Mapping[str, WordList], locales: Path) -> None:
        names = [Folder(words.plain_letters).folded(words.name) for words in lists.values()]
        self._writers = {code: Writer(code, WordNames(words), {}) for code, words in lists.items()}
        for writer in self._writers.values():
            numbered = [f"{n} {name}" for n, name in enumerate(names, 1)]
            writer.programme = {"languages": writer.words(numbered)}
        self._folders = {code: Folder(words.plain_letters) for code, words in lists.items()}
        self._contractions = {code: words.contractions for code, words in lists.items()}
        self._texts: dict[str, Texts] = {
            code: {} if code == SOURCE else read_texts(catalog_path(locales, code)) for code in lists
        }

    @property
    def languages(self) -> tuple[str, ...]:
        """Codes of the languages that can be spoken."""
        return tuple(self._texts)

    def writer(self, language: str) -> Writer:
        """What writes values in a language."""
        return self._writers[language]

    def text(self, saying: Saying, language: str) -> str:
        """One saying; a text without translation falls back to the source language.

        Words that the values have put side by side are contracted as the word list tells (`de herbe`, `d'herbe`).
        """
        source = self._texts[language].get(saying.text, saying.text)
        writer = self._writers[language]

        def fill(match: re.Match[str]) -> str:
            filled = saying.values[match.group(1)]
            return writer.write(filled.kind, filled.value)

        text = PLACEHOLDER.sub(fill, source)
        for apart, together in self._contractions[language].items():
            text = text.replace(apart, together)
        return text

    def messages(self, sayings: list[Saying], language: str) -> list[Worded]:
        """What to send by SMS."""
        joined = self.joined([self.text(s, language) for s in sayings], language)
        return [Worded(text, [sayings[i] for i in group]) for text, group in joined]

    def joined(self, texts: list[str], language: str, *, chat: bool = False) -> list[tuple[str, list[int]]]:
        """Texts as messages, each with the places of the texts that it holds.

        As SMS, neighbouring texts are joined where that costs nothing more, and letters are folded where that
        saves a segment. In a chat nothing is folded, and texts stand below one another in one message.
        """
        if chat:
            return [("\n".join(texts[i] for i in group), group) for group in pack_chat(texts)]
        folder = self._folders[language]
        groups = pack([folder.folded(text) for text in texts])
        return [(folder.cheaper(" ".join(texts[i] for i in group)), group) for group in groups]
