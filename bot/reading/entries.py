"""Walks through a word list: every phrase with what it stands for."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from typing import NamedTuple

from bot.reading.words import WordList


class Sense(NamedTuple):
    """What a phrase stands for: a category such as `material` or `feel`, and an id of it."""

    category: str
    id: str


class Entry(NamedTuple):
    field: str
    sense: Sense
    phrase: str


UNITS = ("measure", "length", "area", "rainunit", "temperature", "time")
REPORTS = {
    "feel": ("cold", "warm", "hot"), "squeeze": ("dry", "damp", "wet"),
    "smell": ("earthy", "ammonia", "rotten", "sour"), "rain": ("none", "some", "heavy"),
}  # fmt: skip
DANGER = Sense("topic", "danger")
KEYWORDS = frozenset({"stop", "start", "help"})
"""Topics that count alone only when they are the whole message."""
_LISTS = (
    ("replies", "reply"), ("languages", "language"), ("sights", "sight"), ("lessons", "lesson"),
    ("strangers", "stranger"),
)  # fmt: skip


def entries(words: WordList) -> Iterator[Entry]:
    """Every phrase of a word list with what it stands for and the field that it stands in."""
    for field, category, identity, phrases in _sections(words):
        for i, phrase in enumerate(phrases):
            yield Entry(f"{field}[{i}]", Sense(category, identity), phrase)


def _sections(words: WordList) -> Iterator[tuple[str, str, str, list[str]]]:
    for topic, topic_words in words.topics.items():
        yield f"topics.{topic}.alone", "alone", topic, topic_words.alone
        yield f"topics.{topic}.asked", "topic", topic, topic_words.asked
    for name, values in REPORTS.items():
        section = getattr(words, name)
        for value in values:
            yield f"{name}.{value}", name, value, getattr(section, value)
        for value, phrases in section.as_answer.items():
            yield f"{name}.as_answer.{value}", f"{name}_answer", value, phrases
    for value in ("yes", "no", "later"):
        yield f"answer.{value}", "answer", value, getattr(words.answer, value)
    yield "rain.word", "rainword", "", words.rain.word
    for mapping, category in _LISTS:
        for key, phrases in getattr(words, mapping).items():
            yield f"{mapping}.{key}", category, key, phrases
    for kind, choices in words.choices.items():
        for key, phrases in choices.items():
            yield f"choices.{kind}.{key}", f"choice_{kind}", key, phrases
    for group, phrases in words.groups.items():
        yield f"groups.{group}", "about", group, phrases
    yield from _thing_sections(words)
    yield from _grammar_sections(words)


def _thing_sections(words: WordList) -> Iterator[tuple[str, str, str, list[str]]]:
    for material, each in words.materials.items():
        yield f"materials.{material}.words", "material", material, each.words
        yield f"materials.{material}.short", "short", material, each.short
    for forbidden, other in words.forbidden.items():
        yield f"forbidden.{forbidden}.words", "forbidden", forbidden, other.words
        yield f"forbidden.{forbidden}.short", "forbidden_short", forbidden, other.short
    for crop, named in words.crops.items():
        yield f"crops.{crop}.words", "crop", crop, named.words
    yield "manure", "manure", "", words.manure
    for i, unclear in enumerate(words.unclear):
        yield f"unclear[{i}].words", "unclear", " ".join(unclear.could_be), unclear.words
    for measure, said in words.measures.items():
        yield f"measures.{measure}.words", "measure", measure, said.words
    for name, category in (("length", "length"), ("area", "area"), ("rain", "rainunit"), ("time", "time")):
        for unit, size in getattr(words.units, name).items():
            yield f"units.{name}.{unit}.words", category, unit, size.words
    for scale in ("celsius", "fahrenheit", "degree"):
        yield f"units.temperature.{scale}", "temperature", scale, getattr(words.units.temperature, scale)


def _grammar_sections(words: WordList) -> Iterator[tuple[str, str, str, list[str]]]:
    yield "when.ago", "ago", "", words.when.ago
    for days, phrases in words.when.days_ago.items():
        yield f"when.days_ago.{days}", "day_ago", days, phrases
    yield "name_before", "name_before", "", words.name_before
    yield "not_meant", "plain", "", words.not_meant
    yield "and_words", "and", "", words.and_words
    yield "negation.before", "not", "before", words.negation.before
    yield "negation.after", "not", "after", words.negation.after
    yield "numbers.ranges", "range", "", words.numbers.ranges
    yield "sizes.between", "between", "", words.sizes.between
    yield "sizes.cube", "cube", "", words.sizes.cube
    for side in ("length", "width", "height"):
        yield f"sizes.{side}", "side", side, getattr(words.sizes, side)
    for when in ("now", "past", "supposing"):
        yield f"when.{when}", "when", when, getattr(words.when, when)


def skipped_in(entry: Entry, skip: set[str]) -> set[str]:
    """A unit may be a skip word: the `in` of `6in` is inches because it sticks to its number; so may what stands
    between two sides, or between the numbers of a range (`10 a 12`)."""
    return set() if entry.sense.category in (*UNITS, "between", "range", "name_before") else skip


def symbols(words: WordList) -> set[str]:
    """Symbols that a phrase of the list uses as a word, such as a thumb up."""
    chars = {char for entry in entries(words) for char in entry.phrase}
    return {char for char in chars if unicodedata.category(char) == "So" and char != "°"}
