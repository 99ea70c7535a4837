"""A word list made ready for matching: every phrase in one tree, so that a text is walked through once."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

from bot.reading.letters import Letters
from bot.reading.phrases import BadPhrase, Expander, Pattern, Piece
from bot.reading.words import WordList


class Sense(NamedTuple):
    """What a phrase stands for: a category such as `material` or `feel`, and an id of it."""

    category: str
    id: str


class Entry(NamedTuple):
    field: str
    sense: Sense
    phrase: str


# Inside one family a phrase may stand for one thing only.
_FAMILIES = {
    "material": "material", "short": "material", "manure": "material", "unclear": "material",
    "forbidden": "material", "forbidden_short": "material",
    "feel_answer": "feel", "squeeze_answer": "squeeze", "smell_answer": "smell", "rain_answer": "rain",
    "length": "unit", "area": "unit", "temperature": "unit", "time": "unit",
}  # fmt: skip
UNITS = ("measure", "length", "area", "rainunit", "temperature", "time")
_GRAMMAR = frozenset({"not", "when", "range", "and", "between", "answer", "reply"})
REPORTS = {
    "feel": ("cold", "warm", "hot"), "squeeze": ("dry", "damp", "wet"),
    "smell": ("earthy", "ammonia", "rotten", "sour"), "rain": ("none", "some", "heavy"),
}  # fmt: skip
KEYWORDS = frozenset({"stop", "start", "help"})
"""Topics that count alone only when they are the whole message."""
Node = dict[str, Any]


class Lexicon:
    """The words of one language.

    tree : the pieces of all phrases; under "" stand the numbers of senses or chains that end there.
    meant : words that some phrase holds. known : all words of the list. whole : whole messages that are a topic.
    """

    def __init__(self, words: WordList, letters: Letters) -> None:
        self.code, self.words = words.code, words
        self._expander = Expander(letters, words.groups)
        flat = self._flat
        self.polite = flat(words.polite)
        self.skip = flat(words.skip) | self.polite
        self.tree: Node = {}
        self.senses: list[Sense] = []
        self.chains: dict[int, list[tuple[tuple[int, ...], int]]] = {}
        self.whole: dict[str, str] = {}
        self.meant: dict[str, set[int]] = {}
        self._pieces: dict[frozenset[Piece], int] = {}
        for entry in entries(words):
            self._add(entry)
        self._add_numbers()
        self.common = flat(words.common)
        self.known = self.skip | self.common | set(self.meant) | set(self.numbers)
        self.endings, self.beginnings = tuple(flat(words.endings)), tuple(flat(words.beginnings))

    def _flat(self, phrases: list[str]) -> set[str]:
        return {word for phrase in phrases for word in self._expander.words(phrase)}

    def _add(self, entry: Entry) -> None:
        number = len(self.senses)
        self.senses.append(entry.sense)
        if entry.sense.category == "alone":
            for piece in self._expander.pattern(entry.phrase)[0]:
                self.whole[" ".join(w for w in piece if w not in self.polite)] = entry.sense.id
            if entry.sense.id in KEYWORDS:
                return
        pattern = self._expander.pattern(entry.phrase, _skipped(entry, self.skip))
        for part in pattern:
            for piece in part:
                for word in piece:
                    self.meant.setdefault(word, set()).add(number)
        if len(pattern) == 1:
            self._plant(pattern[0], number)
        else:
            first, *rest = [self._piece(part) for part in pattern]
            self.chains.setdefault(first, []).append((tuple(rest), number))

    def _piece(self, part: frozenset[Piece]) -> int:
        if part not in self._pieces:
            self._pieces[part] = -1 - len(self._pieces)
            self._plant(part, self._pieces[part])
        return self._pieces[part]

    def _plant(self, part: frozenset[Piece], number: int) -> None:
        for piece in part:
            node = self.tree
            for word in piece:
                node = node.setdefault(word, {})
            ends = node.setdefault("", [])
            if number not in ends:
                ends.append(number)

    def _add_numbers(self) -> None:
        numbers = self.words.numbers
        flat = self._expander.words
        self.numbers = {
            w: float(n) for n, ws in numbers.words.items() for each in ws for w in [" ".join(flat(each))]
        }
        self.scales = {w: float(n) for n, ws in numbers.scales.items() for each in ws for w in flat(each)}
        self.before = {w: float(n) for n, ws in numbers.before.items() for each in ws for w in flat(each)}
        self.joiners = self._flat(numbers.joiners)
        for several in list(self.numbers):  # `quatre vingt dix`: its first word leads to it
            self.numbers.update({w: self.numbers.get(w, float("nan")) for w in several.split()[:1]})
        self.numbers.update(self.scales)
        self.numbers.update({w: float("nan") for w in self.before if w not in self.numbers})

    def find(self, word: str) -> str | None:
        """The word of the list that `word` is, as it stands or without a beginning or ending, or None."""
        if word in self.meant:
            return word
        for ending in self.endings:
            if word.endswith(ending) and len(word) - len(ending) >= 3 and word[: -len(ending)] in self.meant:
                return word[: -len(ending)]
        for beginning in self.beginnings:
            if (
                word.startswith(beginning)
                and len(word) - len(beginning) >= 3
                and word[len(beginning) :] in self.meant
            ):
                return word[len(beginning) :]
        return None

    def meaning(self, word: str) -> frozenset[Sense]:
        """What a word of the list means by itself, or else all that phrases with it mean."""
        alone = self.tree.get(word, {}).get("", ())
        return frozenset(self.senses[n] for n in alone if n >= 0) or frozenset(
            self.senses[n] for n in self.meant[word]
        )


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
    for mapping, category in (("replies", "reply"), ("languages", "language")):
        for key, phrases in getattr(words, mapping).items():
            yield f"{mapping}.{key}", category, key, phrases
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
    yield "manure", "manure", "", words.manure
    for i, unclear in enumerate(words.unclear):
        yield f"unclear[{i}].words", "unclear", " ".join(unclear.could_be), unclear.words
    for measure, said in words.measures.items():
        yield f"measures.{measure}.words", "measure", measure, said.words
    for name, category in (("length", "length"), ("area", "area"), ("rain", "rainunit")):
        for unit, size in getattr(words.units, name).items():
            yield f"units.{name}.{unit}.words", category, unit, size.words
    for scale in ("celsius", "fahrenheit", "degree"):
        yield f"units.temperature.{scale}", "temperature", scale, getattr(words.units.temperature, scale)


def _grammar_sections(words: WordList) -> Iterator[tuple[str, str, str, list[str]]]:
    yield "units.time", "time", "", words.units.time
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


def _skipped(entry: Entry, skip: set[str]) -> set[str]:
    """A unit may be a skip word: the `in` of `6in` is inches because it sticks to its number."""
    return set() if entry.sense.category in UNITS else skip


def symbols(words: WordList) -> set[str]:
    """Symbols that a phrase of the list uses as a word, such as a thumb up."""
    chars = {char for entry in entries(words) for char in entry.phrase}
    return {char for char in chars if unicodedata.category(char) == "So" and char != "°"}


def check_phrases(words: WordList, error: Callable[[str, str], Exception]) -> None:
    """Raises `error(field, problem)` for a phrase that cannot be read or that stands for two things at once."""
    letters = Letters(words.letters, symbols(words))
    expander = _checked_groups(words, letters, error)
    polite = {w for phrase in words.polite for w in expander.words(phrase)}
    skip = polite | {w for phrase in words.skip for w in expander.words(phrase)}
    seen: dict[tuple[str, Piece], Entry] = {}
    for entry in entries(words):
        try:
            pattern = expander.pattern(
                entry.phrase, () if entry.sense.category == "alone" else _skipped(entry, skip)
            )
        except BadPhrase as exc:
            raise error(entry.field, str(exc)) from None
        _check_once(entry, pattern, seen, error)
        _check_says_something(entry, pattern, expander, error)
    for entry in entries(words):
        dropped = polite if entry.sense.category == "alone" and entry.sense.id in KEYWORDS else skip
        _check_not_worn_down(entry, expander, dropped, seen, error)


def _checked_groups(words: WordList, letters: Letters, error: Callable[[str, str], Exception]) -> Expander:
    for name, phrases in words.groups.items():
        try:
            Expander(letters, {name: phrases})
        except BadPhrase as exc:
            raise error(f"groups.{name}", str(exc)) from None
    return Expander(letters, words.groups)


def _check_once(
    entry: Entry,
    pattern: Pattern,
    seen: dict[tuple[str, Piece], Entry],
    error: Callable[[str, str], Exception],
) -> None:
    if len(pattern) > 1:
        return
    family = _FAMILIES.get(entry.sense.category, entry.sense.category)
    for piece in pattern[0]:
        other = seen.setdefault((family, piece), entry)
        if other.sense != entry.sense and family != "about":  # a word may be in two groups
            text = " ".join(piece)
            raise error(
                entry.field, f"{text!r} also means {other.sense.id or other.sense.category} ({other.field})"
            )


def _check_says_something(
    entry: Entry, pattern: Pattern, expander: Expander, error: Callable[[str, str], Exception]
) -> None:
    """A slip such as `very hot/warm?` leaves `very` alone, which would then mean hot."""
    if entry.sense.category in ("about", "alone", *_GRAMMAR):
        return
    weak = {word for piece in expander.pattern("<very>")[0] for word in piece}
    for piece in pattern[0] if len(pattern) == 1 else ():
        if all(word in weak for word in piece) and not entry.sense.category.endswith("_answer"):
            raise error(entry.field, f"{entry.phrase!r} may be only {' '.join(piece)!r}, which says nothing")


def _parts_as_written(entry: Entry, expander: Expander) -> frozenset[Piece]:
    return frozenset().union(*expander.pattern(entry.phrase))


def _check_not_worn_down(
    entry: Entry,
    expander: Expander,
    skip: set[str],
    seen: dict[tuple[str, Piece], Entry],
    error: Callable[[str, str], Exception],
) -> None:
    """`stop your` is only `stop` once skip words are gone: it must not mean more than the writer thought."""
    if entry.sense.category in ("about", *UNITS):
        return
    family = _FAMILIES.get(entry.sense.category, entry.sense.category)
    pattern = expander.pattern(entry.phrase)
    for piece in pattern[0] if len(pattern) == 1 else ():
        left = tuple(word for word in piece if word not in skip)
        other = seen.get((family, left))
        if len(left) == 1 < len(piece) and not (other and left in _parts_as_written(other, expander)):
            raise error(
                entry.field,
                f"{' '.join(piece)!r} is only {left[0]!r} without skip words: write that, or more",
            )
