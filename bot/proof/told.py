"""Whether a question tells its allowed answers, by their words in that language or by number."""

from __future__ import annotations

import re
from collections.abc import Iterator

from bot.dialogue.schema import Step
from bot.dialogue.vocabulary import ValueKind
from bot.reading.entries import entries, symbols
from bot.reading.letters import Letters
from bot.reading.phrases import Expander, Piece, spelling_table
from bot.reading.reader import Reader
from bot.reading.words import WordList

UNSAID = frozenset({"yes", "later", "unsure", "back", "turned", "watered", "both", "done", "all", "no"})
"""Answers that are taken where they come, and need not be told beside others."""
OPEN_KINDS = frozenset({"text", "size", "materials", "measure", "area", "number", "ago", "crop", "language"})
_CATEGORIES = {
    "feel": "feel",
    "squeeze": "squeeze",
    "rain": "rain",
    "yesno": "answer",
    "smell": "smell",
    "word": "reply",
}


class Told:
    def __init__(self, words: WordList, reader: Reader) -> None:
        self._reader, self._code = reader, words.code
        self._letters = Letters(words.letters, symbols(words))
        self._spelling = spelling_table(words.spellings, self._letters)
        expander = Expander(self._letters, words.groups, self._spelling)
        self._pieces: dict[tuple[str, str], set[Piece]] = {}
        for entry in entries(words):
            category = entry.sense.category.removesuffix("_answer")
            if category in _CATEGORIES.values():
                pattern = expander.pattern(entry.phrase)
                if len(pattern) == 1:
                    self._pieces.setdefault((category, entry.sense.id), set()).update(pattern[0])

    def missing(self, text: str, step: Step, kind: ValueKind) -> Iterator[str]:
        """A complaint for each allowed answer that the question does not tell."""
        if kind.name in OPEN_KINDS:
            return
        answers = list(kind.values) or [a for a in step.answers if a not in UNSAID]
        if not answers:
            answers = [a for a in step.answers if a == "done"] or list(step.answers)[:1]
        if self._numbered(text, len(answers)):
            return
        plain = self._plain(text)
        category = _CATEGORIES.get(kind.name, "")
        if "later" in step.answers and kind.name == "yesno":
            answers = ["yes", "later"]
        for answer in answers:
            pieces = self._pieces.get((category, answer), set()) | self._pieces.get(("answer", answer), set())
            if not any(f" {' '.join(piece)} " in plain for piece in pieces):
                yield f"does not tell the answer {answer!r}"

    def _plain(self, text: str) -> str:
        """Its plain words between spaces, twice: an apostrophe parts two words (`l'odeur`) or is in one (`a'a`)."""
        plain = self._letters.plain(text)
        words = re.findall(r"[^ .,;:!?()،؟।\"]+", plain.replace("'", " ") + " " + plain.replace("'", ""))
        return f" {' '.join(self._spelling.get(word, word) for word in words)} "

    @staticmethod
    def _numbered(text: str, many: int) -> bool:
        return many > 1 and all(re.search(rf"(?<!\d){n}(?!\d)", text) for n in range(1, many + 1))
