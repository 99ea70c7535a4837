"""Whole seasons for every language, written once: tests/golden/seasons/*.season.

A line is as in a conversation file (runner.py), except that what the farmer writes may name words by their id,
`> {plan}`, or `> {maize_stalks}, {goat_manure}`: the first way in which the language's word list says it.

    python -m tests.golden.seasons              write the conversations of all languages, with replies
    python -m tests.golden.seasons quick sw     one season of one language
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

from bot.reading.entries import entries
from bot.reading.words import WordList, load_languages

from ..runner import FOLDER, play

HERE = Path(__file__).parent
LOCALES = FOLDER.parents[1] / "locales"
_NAMED = re.compile(r"\{(\w+)\}")
_PLAIN = (
    "alone",
    "reply",
    "answer",
    "feel",
    "squeeze",
    "smell",
    "rain",
    "material",
    "crop",
    "measure",
    "sight",
    "lesson",
)
"""Categories of the word lists in which a name is looked for, in this order."""


class Saying:
    """How a farmer of one language says something."""

    def __init__(self, words: WordList) -> None:
        self._words = words
        self._first: dict[tuple[str, str], str] = {}
        for entry in entries(words):
            self._first.setdefault((entry.sense.category, entry.sense.id), entry.phrase)

    def line(self, text: str) -> str:
        return _NAMED.sub(lambda found: self.word(found.group(1)), text)

    def word(self, name: str) -> str:
        """The first phrase for an id; `language` is the language's own name. Raises KeyError."""
        if name == "language":
            return self._plain(self._first["language", self._words.code])
        for category in _PLAIN:
            if (category, name) in self._first:
                return self._plain(self._first[category, name])
        raise KeyError(f"{self._words.code} has no words for {name!r}")

    def _plain(self, phrase: str) -> str:
        """`how much ... <pile>` as somebody would write it: first choices, nothing that may be missing."""
        elements = [e for e in phrase.replace("...", " ").split() if not e.endswith("?") or len(e) == 1]
        return " ".join(self._choice(e.split("/")[0] if len(e) > 1 else e) for e in elements)

    def _choice(self, element: str) -> str:
        if element.startswith("<"):
            return self._plain(self._words.groups[element.strip("<>")][0])
        return element.replace("_", " ")


def seasons() -> list[Path]:
    return sorted(HERE.glob("*.season"))


def conversation(season: Path, words: WordList) -> str:
    """A season as a farmer of that language writes it, without replies."""
    say = Saying(words)
    lines = season.read_text(encoding="utf-8").splitlines()
    return "\n".join(say.line(line) if line.startswith(">") else line for line in lines) + "\n"


def target(season: Path, language: str) -> Path:
    return FOLDER / language / f"9_{season.stem}.txt"


def main(wanted: list[str]) -> None:
    for code, words in load_languages(LOCALES).items():
        for season in seasons():
            if wanted and not {season.stem, code} & set(wanted):
                continue
            path = target(season, code)
            path.parent.mkdir(exist_ok=True)
            path.write_text(conversation(season, words), encoding="utf-8")
            path.write_text(play(path), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
