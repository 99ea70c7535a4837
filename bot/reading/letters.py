"""Brings a text to plain letters, so that one spelling stands for all that look or sound alike.

Knows characters, never words: what a letter of a language may be written as comes from its word list.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping

MAX_RAW = 4000
MAX_TEXT = 1000
"""Characters that are looked at; about six joined SMS. The rest of a longer text is left unread."""

# Letters of other scripts that look like Latin ones, in both cases (Unicode TR 39 lists more; these pass for keywords).
_LOOK_ALIKES = dict(
    zip(
        "АВЕКМНОРСТУХІЈЅԚԜΑΒΕΖΗΙΚΜΝΟΡΤΥΧавекмнорстухіјѕԛԝαβεζηικμνορτυχ",
        "abekmhopctyxijsqwabezhikmnoptyx" * 2,
        strict=True,
    )
)
_MARKS = {
    "×": " x ", "✕": " x ", "✖": " x ", "⨯": " x ", "∗": "*", "º": "°", "˚": "°", "℃": "° c", "℉": "° f",
    "’": "'", "‘": "'", "ʼ": "'", "`": "'", "´": "'", "′": "'", "ʻ": "'", "″": '"', "“": '"', "”": '"',
    "–": "-", "—": "-", "−": "-", "‐": "-", "‑": "-", "⁄": "/", "٫": ".", "٬": ",", "،": ",", "؛": ";", "؟": "?",
    "।": ".", "۔": ".", "。": ".", "、": ",", "½": " 1/2 ", "¼": " 1/4 ", "¾": " 3/4 ", "⅓": " 1/3 ", "⅔": " 2/3 ",
}  # fmt: skip
_INVISIBLE = {"Cc", "Cf", "Cs", "Co", "Cn"}


class Letters(dict[int, str]):
    """A table for `str.translate` that works out each character once.

    same : letters that the word lists say are written for another, such as `{"ة": "ه"}`.
    keep : symbols that a word list uses as a word (a thumb up).
    """

    def __init__(self, same: Mapping[str, str] | None = None, keep: Iterable[str] = ()) -> None:
        super().__init__()
        self._same, self._keep = dict(same or {}), set(keep)

    def __missing__(self, code: int) -> str:
        plain = self._plain(chr(code))
        if len(self) < 5000:  # a stream of odd characters must not fill the memory
            self[code] = plain
        return plain

    def plain(self, text: str) -> str:
        """The text in plain letters, ASCII digits and ASCII punctuation; nothing invisible is left."""
        return text[:MAX_RAW].translate(self)[:MAX_TEXT]

    def _plain(self, char: str) -> str:
        if char in _MARKS:
            return _MARKS[char]
        if char in self._keep:
            return f" {char} "
        if char in _LOOK_ALIKES:
            return _LOOK_ALIKES[char]
        if char.isspace():
            return "\n" if char in "\n\r\u2028\u2029" else " "
        return "".join(self._letter(part) for part in unicodedata.normalize("NFKD", char).casefold())

    def _letter(self, char: str) -> str:
        if char in self._same:
            return self._same[char]
        if char in _LOOK_ALIKES:
            return _LOOK_ALIKES[char]
        category = unicodedata.category(char)
        if category == "Nd":
            return str(unicodedata.digit(char))
        # Accents, harakat and nukta go (their combining class is not 0); vowel signs and virama (0 and 9) stay.
        if category in _INVISIBLE or (category[0] == "M" and unicodedata.combining(char) not in (0, 9)):
            return ""
        if category[0] in "LM" or (char.isascii() and char.isprintable()) or char == "°":
            return char
        return " "
