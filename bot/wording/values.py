"""How a value is written in a language: by its kind, with CLDR's plural forms, numbers and dates.

Values are plain (what a computation or an answer gave); names of materials and measures come from the word list.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from functools import cache, lru_cache
from typing import Any, Protocol

from babel import Locale
from babel.dates import format_date
from babel.numbers import format_decimal

from bot.wording.direction import closed


class Names(Protocol):
    """What a word list tells about names; `bot.reading.words.WordList` fits."""

    def material(self, material: str) -> str: ...
    def crop(self, crop: str) -> str: ...
    def measure(self, measure: str) -> Mapping[str, str]: ...
    def term(self, term: str) -> str: ...
    def pattern(self, name: str, default: str) -> str: ...


@cache
def locale_of(language: str) -> Locale:
    return Locale.parse(language)


@lru_cache(maxsize=2048)
def _decimal(value: float, locale: Locale) -> str:
    # The same few numbers are written over and over, and CLDR's formatting takes its time.
    return str(format_decimal(value, format="0.##", locale=locale, numbering_system="latn"))


class Writer:
    """Writes values in one language. Western digits everywhere: every basic phone shows them."""

    def __init__(self, language: str, names: Names, programme: Mapping[str, str]) -> None:
        self.locale, self.names, self.programme = locale_of(language), names, programme
        self.language = language
        self.comma = names.pattern("comma", ", ")
        self.day = names.pattern("day", "d MMM")

    def write(self, kind: str, value: Any) -> str:
        """A value of a kind as text, closed against the text round it. Raises KeyError for a kind that cannot be
        written."""
        return closed(_BY_KIND[kind](self, value), self.language)

    def number(self, value: float) -> str:
        return _decimal(value, self.locale)

    def amount(self, value: Mapping[str, Any]) -> str:
        """{"n": 1.5, "measure": "wheelbarrow"} with the plural form of 1.5 in this language."""
        forms = self.names.measure(value["measure"])
        if value["n"] == 0.5 and "half" in forms:
            return forms["half"]
        form = self.locale.plural_form(value["n"])
        return forms.get(form, forms["other"]).replace("{n}", self.number(value["n"]))

    def size(self, value: list[float]) -> str:
        sides = "x".join(self.number(round(side, 2)) for side in value)
        return self.names.pattern("size", "{sides} m").replace("{sides}", sides)

    def shopping(self, value: list[Mapping[str, Any]]) -> str:
        """One material with its amount in the language's own order; a list names the measure once."""
        if len(value) == 1:
            filled = {
                "material": self.names.material(value[0]["material"]),
                "amount": self.amount(value[0]["amount"]),
            }
            return self.names.term("amount_of").format_map(filled)
        same = len({item["amount"]["measure"] for item in value}) == 1
        parts = []
        for n, item in enumerate(value):
            amount = self.number(item["amount"]["n"]) if same and n else self.amount(item["amount"])
            parts.append(f"{self.names.material(item['material'])} {amount}")
        return self.comma.join(parts)

    def materials(self, value: Mapping[str, Any] | list[str]) -> str:
        ids = value if isinstance(value, list) else [m["material"] for m in value["known"]]
        return self.comma.join(self.names.material(m) for m in ids)

    def choices(self, value: list[str]) -> str:
        """`1 rice straw, 2 wheat straw`: to be answered by number or name."""
        return self.comma.join(f"{n} {self.names.material(m)}" for n, m in enumerate(value, 1))

    def date(self, value: str) -> str:
        return format_date(date.fromisoformat(value), self.day, locale=self.locale)

    def words(self, value: list[str]) -> str:
        return self.comma.join(closed(word, self.language) for word in value)

    def terms(self, value: list[str]) -> str:
        return self.comma.join(self.names.term(t) for t in value)


_BY_KIND: Mapping[str, Callable[[Writer, Any], str]] = {
    "text": lambda w, v: str(v),
    "number": Writer.number,
    "days": Writer.number,
    "litres": Writer.number,
    "size": Writer.size,
    "amount": Writer.amount,
    "shopping": Writer.shopping,
    "materials": Writer.materials,
    "choices": Writer.choices,
    "material": lambda w, v: w.names.material(v),
    "crop": lambda w, v: w.names.crop(v),
    "date": Writer.date,
    "term": lambda w, v: w.names.term(v),
    "terms": Writer.terms,
    "words": Writer.words,
    "languages": lambda w, v: w.programme["languages"],
}
