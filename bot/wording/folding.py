"""Writes letters outside the GSM 7-bit alphabet with ones inside it, where that makes a message cheaper.

One such letter makes a whole SMS cost more than twice as much (segments.py). Which letters of a language may be
written plainly without loss to the reader stands in its word list (`plain_letters`); marks that phones show alike
are the same in every language.
"""

from __future__ import annotations

from collections.abc import Mapping

from bot.wording.segments import count

_ALIKE = {
    "‘": "'", "’": "'", "ʼ": "'", "“": '"', "”": '"', "«": '"', "»": '"', "–": "-", "—": "-", "‑": "-", "…": "...",
    "\u00a0": " ", "\u202f": " ", "\u2009": " ", "×": "x", "′": "'", "″": '"',
}  # fmt: skip


class Folder:
    """Folds the texts of one language. letters : letters that may be written for one another, `ç` as `c`."""

    def __init__(self, letters: Mapping[str, str]) -> None:
        both = dict(letters) | {a.upper(): b.upper() for a, b in letters.items() if a.upper() not in letters}
        self._table = str.maketrans({**_ALIKE, **{a: b for a, b in both.items() if len(a) == 1}})

    def folded(self, text: str) -> str:
        """The text with every such letter written plainly."""
        return text.translate(self._table)

    def cheaper(self, text: str) -> str:
        """The text as it is, or folded if that takes fewer segments."""
        plain = self.folded(text)
        return plain if count(plain).segments < count(text).segments else text
