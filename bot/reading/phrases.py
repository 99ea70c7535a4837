"""Expands the phrases of a word list (`dry/dried leaves`, `how much ... manure`, `<pile> is? cold`) to plain words."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterable, Mapping

from bot.reading.letters import Letters

MAX_EXPANSIONS = 1000
Piece = tuple[str, ...]
Pattern = list[frozenset[Piece]]
"""One set of pieces for each part of a phrase; between two parts other words may stand."""


class BadPhrase(Exception):
    """A phrase that cannot be used; the text says why."""


def spelling_table(spellings: Mapping[str, Iterable[str]], letters: Letters) -> dict[str, str]:
    """From every other way to write a word to the word itself, in plain letters."""
    plain = Expander(letters, {}).words
    table = {
        " ".join(plain(each)): " ".join(plain(word)) for word, others in spellings.items() for each in others
    }
    return {each: word for each, word in table.items() if each != word}


def without_skipped(pattern: Iterable[Collection[Piece]], skip: Collection[str], phrase: str) -> Pattern:
    """A pattern without the words in `skip`. Raises BadPhrase, which names the phrase, if a part is then empty."""
    kept: Pattern = []
    for part in pattern:
        pieces = {tuple(w for w in piece if w not in skip) for piece in part} if skip else set(part)
        pieces.discard(())
        if not pieces:
            raise BadPhrase(f"{phrase!r}: a part of it holds no word that counts")
        kept.append(frozenset(pieces))
    return kept


class Expander:
    """Turns phrases into patterns.

    letters : plain letters, the same table that texts go through.
    groups : the groups that a phrase may name.
    spelling : words that are other ways to write a word, as `spelling_table` gives them.
    same : words that are kept already, to which those of this list are added.
    """

    def __init__(
        self,
        letters: Letters,
        groups: Mapping[str, Iterable[str]],
        spelling: Mapping[str, str] | None = None,
        same: dict[str, str] | None = None,
    ) -> None:
        self._letters, self._spelling = letters, spelling or {}
        self._same = {} if same is None else same
        self._cut: dict[str, Piece] = {}
        self._groups: dict[str, list[Piece]] = {}
        for name, phrases in groups.items():
            self._groups[name] = [piece for phrase in phrases for piece in self._one_part(phrase)]

    def words(self, text: str) -> Piece:
        """The plain words of some text, as the cutter of texts would give them."""
        if text not in self._cut:
            plain = self._letters.plain(text)
            words = plain.replace("'", "").replace("-", " ").split() or plain.split()
            words = [self._spelling.get(word, word) for word in words]
            self._cut[text] = tuple(self._same.setdefault(word, word) for word in words)  # one copy each
        return self._cut[text]

    def forget(self) -> None:
        """Let go of what was kept to be quick, when all phrases of a list are done."""
        self._cut.clear()
        self._groups.clear()
        self._same = {}

    def pattern(self, phrase: str, skip: Collection[str] = ()) -> Pattern:
        """The pattern of a phrase, without the words in `skip`. Raises BadPhrase."""
        parts = phrase.replace("…", "...").split("...")
        return without_skipped([self._expand(part) for part in parts], skip, phrase)

    def _one_part(self, phrase: str) -> Iterable[Piece]:
        if "..." in phrase:
            raise BadPhrase(f"{phrase!r}: no gap can stand here")
        return self._expand(phrase)

    def _expand(self, part: str) -> set[Piece]:
        choices = [self._choices(element) for element in part.split()]
        count = 1
        for choice in choices:
            count *= len(choice)
        if count > MAX_EXPANSIONS:
            raise BadPhrase(f"{part.strip()!r} stands for {count} phrases; {MAX_EXPANSIONS} is the most")
        return {sum(pick, ()) for pick in itertools.product(*choices)}

    def _choices(self, element: str) -> list[Piece]:
        optional = element.endswith("?") and len(element) > 1
        element = element[:-1] if optional else element
        found = [piece for choice in element.split("/") if choice for piece in self._choice(choice)]
        return list(dict.fromkeys([*found, ()] if optional else found))

    def _choice(self, choice: str) -> list[Piece]:
        if not (choice.startswith("<") and choice.endswith(">")):
            return [self.words(choice.replace("_", " "))]
        if choice[1:-1] not in self._groups:
            raise BadPhrase(f"there is no group {choice}")
        return self._groups[choice[1:-1]]
