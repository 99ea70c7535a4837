"""A word list made ready for matching: every phrase in one tree, so that a text is walked through once."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from bot.reading.entries import DANGER, KEYWORDS, Entry, Sense, entries, skipped_in
from bot.reading.letters import Letters
from bot.reading.phrases import Expander, Piece, spelling_table
from bot.reading.tree import Tree
from bot.reading.words import Numbers, WordList, fingerprint

SHORTEST_ROOT = 3
"""Letters that must be left of a word without its beginning or ending."""


class Lexicon:
    """The words of one language.

    tree : the pieces of all phrases, by the numbers of senses or (below 0) of pieces of chains.
    meant : words that some phrase holds. known : all words of the list. whole : whole messages that are a topic.
    alarming : words in phrases of danger. name_before : what stands before a name at the beginning of an answer.
    rules : how the language puts numbers together. made_of : tells this list from any other.
    spelling : from other ways to write a word to the word that phrases are kept with.
    """

    def __init__(self, words: WordList, letters: Letters, same: dict[str, str] | None = None) -> None:
        """same : words of other lists, so that a word that several know is kept once."""
        self.code, self.made_of = words.code, fingerprint(words)
        self.rules, self.units, self.stands_for = words.numbers, words.units, words.stands_for
        self.one_before_measure = words.one_before_measure
        self.spelling = spelling_table(words.spellings, letters)
        self._expander = Expander(letters, words.groups, self.spelling, same)
        flat = self._flat
        self.polite = flat(words.polite)
        self.skip = flat(words.skip) | self.polite
        self.tree = Tree()
        self.senses: list[Sense] = []
        self.chains: dict[int, list[tuple[tuple[int, ...], int]]] = {}
        self.whole: dict[str, str] = {}
        self.name_before: frozenset[Piece] = frozenset()
        self.meant: dict[str, tuple[int, ...]] = {}
        self._add_all(words)
        self._add_numbers(words.numbers)
        for table in (self.meant, self.numbers, self.scales, self.before):
            self._spread(table)
        self.known = self.skip | flat(words.common) | set(self.meant) | set(self.numbers)
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

    def _add_all(self, words: WordList) -> None:
        """Plants every phrase. What only the building needs is not kept: eight lists take memory."""
        pieces: dict[frozenset[Piece], int] = {}
        meant: dict[str, set[int]] = {}
        number_of: dict[Sense, int] = {}
        for entry in entries(words):
            if entry.sense.category == "name_before":
                self.name_before |= self._expander.pattern(entry.phrase)[0]
                continue
            number = number_of.setdefault(entry.sense, len(self.senses))
            if number == len(self.senses):
                self.senses.append(entry.sense)
            self._add(entry, number, pieces, meant)
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

    def _add_numbers(self, numbers: Numbers) -> None:
        flat = self._expander.words
        self.numbers = {
            w: float(n) for n, ws in numbers.words.items() for each in ws for w in [" ".join(flat(each))]
        }
        self.scales = {w: float(n) for n, ws in numbers.scales.items() for each in ws for w in flat(each)}
        self.before = {w: float(n) for n, ws in numbers.before.items() for each in ws for w in flat(each)}
        self.joiners = self._flat(numbers.joiners)
        self.ranges = self._flat(numbers.ranges)
        self.range_opens = self._flat(numbers.range_opens)
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
