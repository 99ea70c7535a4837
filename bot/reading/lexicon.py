"""A word list made ready for matching: every phrase in one tree, so that a text is walked through once."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Any, NamedTuple

from bot.reading.letters import Letters
from bot.reading.phrases import Expander, Piece, spelling_table
from bot.reading.tree import Tree
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
SHORTEST_ROOT = 3
"""Letters that must be left of a word without its beginning or ending."""
DANGER = Sense("topic", "danger")
KEYWORDS = frozenset({"stop", "start", "help"})
"""Topics that count alone only when they are the whole message."""
_LISTS = (
    ("replies", "reply"), ("languages", "language"), ("sights", "sight"), ("lessons", "lesson"),
    ("strangers", "stranger"),
)  # fmt: skip


class Lexicon:
    """The words of one language.

    tree : the pieces of all phrases, by the numbers of senses or (below 0) of pieces of chains.
    meant : words that some phrase holds. known : all words of the list. whole : whole messages that are a topic.
    alarming : words in phrases of danger. name_before : what stands before a name at the beginning of an answer.
    spelling : from other ways to write a word to the word that phrases are kept with.
    """

    def __init__(self, words: WordList, letters: Letters) -> None:
        self.code, self.words = words.code, words
        self.spelling = spelling_table(words.spellings, letters)
        self._expander = Expander(letters, words.groups, self.spelling)
        flat = self._flat
        self.polite = flat(words.polite)
        self.skip = flat(words.skip) | self.polite
        self.tree = Tree()
        self.senses: list[Sense] = []
        self.chains: dict[int, list[tuple[tuple[int, ...], int]]] = {}
        self.whole: dict[str, str] = {}
        self.name_before: frozenset[Piece] = frozenset()
        self.meant: dict[str, tuple[int, ...]] = {}
        self._add_all()
        self._add_numbers()
        for table in (self.meant, self.numbers, self.scales, self.before):
            self._spread(table)
        self.common = flat(words.common)
        self.known = self.skip | self.common | set(self.meant) | set(self.numbers)
        self.endings, self.beginnings = flat(words.endings), flat(words.beginnings)
        self._ending_lengths = sorted({len(each) for each in self.endings})
        self._beginning_lengths = sorted({len(each) for each in self.beginnings})
        self.find = lru_cache(maxsize=1024)(self._find)
        self.joined = sorted(flat(words.joined))
        self.between = flat(words.sizes.between)
        self.name_after = flat(words.name_after)
        self.one_without_number = flat(words.one_without_number)
        self._expander.forget()

    def _flat(self, phrases: list[str]) -> set[str]:
        found = {word for phrase in phrases for word in self._expander.words(phrase)}
        return found | {each for each, word in self.spelling.items() if word in found}

    def _spread(self, table: dict[str, Any]) -> None:
        """What holds for a word holds for its other spellings."""
        table.update({each: table[word] for each, word in self.spelling.items() if word in table})

    def plain(self, word: str) -> str:
        """The word as phrases are kept with it."""
        return self.spelling.get(word, word)

    def _add_all(self) -> None:
        """Plants every phrase. What only the building needs is not kept: eight lists take memory."""
        pieces: dict[frozenset[Piece], int] = {}
        meant: dict[str, set[int]] = {}
        same: dict[Sense, Sense] = {}
        for entry in entries(self.words):
            if entry.sense.category == "name_before":
                self.name_before |= self._expander.pattern(entry.phrase)[0]
                continue
            self.senses.append(same.setdefault(entry.sense, entry.sense))
            self._add(entry, len(self.senses) - 1, pieces, meant)
        self.tree.pack()
        tuples: dict[tuple[int, ...], tuple[int, ...]] = {}
        alarms = {number for number, sense in enumerate(self.senses) if sense == DANGER}
        self.alarming = frozenset(word for word, numbers in meant.items() if not alarms.isdisjoint(numbers))
        for word, numbers in meant.items():
            key = tuple(sorted(numbers))
            self.meant[word] = tuples.setdefault(key, key)

    def _add(
        self, entry: Entry, number: int, pieces: dict[frozenset[Piece], int], meant: dict[str, set[int]]
    ) -> None:
        if entry.sense.category == "alone":
            for piece in self._expander.pattern(entry.phrase)[0]:
                self.whole[" ".join(w for w in piece if w not in self.polite)] = entry.sense.id
            if entry.sense.id in KEYWORDS:
                return
        pattern = self._expander.pattern(entry.phrase, skipped_in(entry, self.skip))
        for part in pattern:
            for piece in part:
                for word in piece:
                    meant.setdefault(word, set()).add(number)
        if len(pattern) == 1:
            self._plant(pattern[0], number)
        else:
            first, *rest = [self._piece(part, pieces) for part in pattern]
            self.chains.setdefault(first, []).append((tuple(rest), number))

    def _piece(self, part: frozenset[Piece], pieces: dict[frozenset[Piece], int]) -> int:
        if part not in pieces:
            pieces[part] = -1 - len(pieces)
            self._plant(part, pieces[part])
        return pieces[part]

    def _plant(self, part: frozenset[Piece], number: int) -> None:
        for piece in part:
            self.tree.plant(piece, number)

    def _add_numbers(self) -> None:
        numbers = self.words.numbers
        flat = self._expander.words
        self.numbers = {
            w: float(n) for n, ws in numbers.words.items() for each in ws for w in [" ".join(flat(each))]
        }
        self.scales = {w: float(n) for n, ws in numbers.scales.items() for each in ws for w in flat(each)}
        self.before = {w: float(n) for n, ws in numbers.before.items() for each in ws for w in flat(each)}
        self.joiners = self._flat(numbers.joiners)
        self.ranges = self._flat(numbers.ranges)
        for several in list(self.numbers):  # `quatre vingt dix`: its first word leads to it
            self.numbers.update({w: self.numbers.get(w, float("nan")) for w in several.split()[:1]})
        self.numbers.update(self.scales)
        self.numbers.update({w: float("nan") for w in self.before if w not in self.numbers})

    def _find(self, word: str) -> str | None:
        """The word of the list that `word` is, as it stands or without a beginning, an ending or both, or None."""
        if word in self.meant:
            return word
        if found := self._without_ending(word):
            return found
        for length in self._beginning_lengths:
            rest = word[length:]
            if len(rest) < SHORTEST_ROOT or word[:length] not in self.beginnings:
                continue
            if found := rest if rest in self.meant else self._without_ending(rest):
                return found
        return None

    def _without_ending(self, word: str) -> str | None:
        for length in self._ending_lengths:
            root = word[:-length]
            if len(root) >= SHORTEST_ROOT and root in self.meant and word[-length:] in self.endings:
                return root
        return None

    def meaning(self, word: str) -> frozenset[Sense]:
        """What a word of the list means by itself, or else all that phrases with it mean."""
        alone = self.tree.ends_of([self.plain(word)])
        return frozenset(self.senses[n] for n in alone if n >= 0) or frozenset(
            self.senses[n] for n in self.meant[word]
        )

    def senses_of(self, phrase: str) -> list[Sense]:
        """What a phrase as a whole means in this list."""
        return self.senses_of_words(self._expander.words(phrase))

    def senses_of_words(self, words: Iterable[str]) -> list[Sense]:
        """What plain words mean when they are all that is said, words without weight aside."""
        ends = self.tree.ends_of(self.plain(word) for word in words if word not in self.skip)
        return [self.senses[number] for number in ends if number >= 0]


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
