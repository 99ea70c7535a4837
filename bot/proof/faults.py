"""What can be wrong with a message in a language: too dear, not translated, a question that hides its answers."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping

import msgspec

from bot.dialogue.checks import PLACEHOLDER, computations_of
from bot.dialogue.library import Library
from bot.dialogue.schema import Dialogue, Step
from bot.dialogue.turn import Filled, Saying
from bot.dialogue.vocabulary import Quantity, Vocabulary
from bot.proof.told import Told
from bot.proof.worst import Worst, is_list
from bot.reading.reader import Reader
from bot.reading.words import WordList
from bot.wording.catalogs import SOURCE, Texts
from bot.wording.direction import astray
from bot.wording.segments import Parts, count
from bot.wording.speaker import Speaker

BUDGET_LATIN, BUDGET_OTHER, BUDGET_LIST = 1, 2, 3
"""Segments of one text, its worst values filled in; what holds a list may take three in any script."""
_OPENING, _CLOSING = "\u2066\u2067\u2068", "\u2069"
_EMBEDDING, _POP = "\u202a\u202b\u202d\u202e", "\u202c"
_SHOUTED = re.compile(r"\b[A-ZÀ-ÞƁƊƘƳ]{2,}(?: [A-ZÀ-ÞƁƊƘƳ]{2,})*\b")
_QUOTED = re.compile("«([^«»]+)»")
"""How scripts without capitals mark a word that the farmer is to write."""
_NO_WORD_OF_OURS = frozenset({"SMS", "OK", "MM"})


class Text(msgspec.Struct, frozen=True):
    """A source text, where it stands, and the step if it is a question of one."""

    where: str
    text: str
    facts: Mapping[str, Quantity]
    step: Step | None = None


class Fault(msgspec.Struct, frozen=True):
    language: str
    where: str
    problem: str


def all_texts(library: Library, vocabulary: Vocabulary) -> Iterator[Text]:
    """Every text that a farmer can read."""
    for dialogue in library.dialogues.values():
        facts = {**library.facts, **_worked_out(dialogue, vocabulary)}
        for name, step in dialogue.steps.items():
            for field, text in step.texts():
                asked = step if field == "ask" else None
                yield Text(f"dialogues/{dialogue.dialogue}.yaml {name}.{field}", text, facts, asked)
    common = library.common
    for group, texts in (("texts", common.texts), ("again", common.again)):
        for name, text in texts.items():
            yield Text(f"dialogues/common.yaml {group}.{name}", text, library.facts)


def _worked_out(dialogue: Dialogue, vocabulary: Vocabulary) -> dict[str, Quantity]:
    return {
        f"{computation.name}.{name}": quantity
        for computation in computations_of(dialogue, vocabulary)
        for name, quantity in computation.outputs.items()
    }


class Proof:
    """One language's messages, ready to be looked at."""

    def __init__(
        self, words: WordList, translations: Texts, speaker: Speaker, reader: Reader, vocabulary: Vocabulary
    ) -> None:
        self.words, self.translations, self.speaker = words, translations, speaker
        self.code, self.vocabulary = words.code, vocabulary
        self._reader, self._worst = reader, Worst(speaker, words)
        self._told = Told(words, reader)
        self.latin = _is_latin(words.name)

    def rendered(self, text: Text) -> str:
        """The text as it is sent by SMS, with its worst values."""
        names = PLACEHOLDER.findall(text.text)
        values: dict[str, Filled] = {name: self._worst.value(name, text.facts[name]) for name in names}
        return self.speaker.messages([Saying(text=text.text, values=values)], self.code)[0].text

    def cost(self, text: Text) -> Parts:
        return count(self.rendered(text))

    def budget(self, text: Text) -> int:
        names = PLACEHOLDER.findall(text.text)
        if any(is_list(name, text.facts[name].kind) for name in names):
            return BUDGET_LIST
        return BUDGET_LATIN if self.latin else BUDGET_OTHER

    def faults(self, text: Text) -> Iterator[Fault]:
        """All that is wrong with a text in this language."""
        for problem in self._problems(text):
            yield Fault(self.code, text.where, problem)

    def _problems(self, text: Text) -> Iterator[str]:
        said = text.text if self.code == SOURCE else self.translations.get(text.text, "")
        if not said:
            yield "is not translated"
            return
        wanted, found = sorted(PLACEHOLDER.findall(text.text)), sorted(PLACEHOLDER.findall(said))
        if wanted != found:
            yield f"has the placeholders {found}, the source has {wanted}"
            return
        rendered = self.rendered(text)
        parts = count(rendered)
        languages = "bot.languages" in wanted  # each is named as its readers write it, in whatever script
        if self.latin and parts.encoding != "GSM-7" and parts.segments > 1 and not languages:
            yield f"costs more for the letters {_dear(rendered)!r}"
        if parts.segments > self.budget(text):
            yield f"takes {parts.segments} segments of {self.budget(text)}: {parts.units} units: {rendered}"
        if not _balanced(rendered):
            yield "opens or closes a direction of writing that it does not close or open"
        if out_of_order := astray(rendered, self.code):
            yield f"is shown out of order: {out_of_order!r} runs the other way"
        yield from self._words_to_write(said)
        if text.step is not None:
            yield from self._told.missing(said, text.step, self.vocabulary.kinds[text.step.expect])

    def _words_to_write(self, said: str) -> Iterator[str]:
        """A word in capitals or in « » tells the farmer to write it: the reader must know it."""
        plain = PLACEHOLDER.sub("", said)
        for word in _SHOUTED.findall(plain) + _QUOTED.findall(plain):
            if word in _NO_WORD_OF_OURS:
                continue
            read = self._reader.read(word, self.code)
            offered = self._reader.read(word, self.code, "word", tuple(self.words.replies))
            if not (read.understood or offered.understood):
                yield f"tells the farmer to write {word}, which the word list does not know"


def _is_latin(name: str) -> bool:
    letters = [char for char in name if char.isalpha()]
    return bool(letters) and all("LATIN" in unicodedata.name(char, "") for char in letters)


def _dear(text: str) -> str:
    return "".join(sorted({char for char in text if count(char).encoding != "GSM-7"}))


def _balanced(text: str) -> bool:
    """Whether isolates and embeddings are closed in the order they were opened (Unicode UAX 9)."""
    isolates = embeddings = 0
    for char in text:
        isolates += (char in _OPENING) - (char == _CLOSING)
        embeddings += (char in _EMBEDDING) - (char == _POP)
        if isolates < 0 or embeddings < 0:
            return False
    return isolates == embeddings == 0
