"""Words that a trainer teaches between two releases: where they go in a word list, and whether they may."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

import msgspec

from bot.reading.checks import check_phrases
from bot.reading.entries import Entry, entries, symbols
from bot.reading.letters import Letters
from bot.reading.lexicon import Lexicon
from bot.reading.words import WordList

LONGEST = 60
SECTIONS: Mapping[str, tuple[str, ...]] = {
    "material": ("materials", "*", "words"), "forbidden": ("forbidden", "*", "words"),
    "measure": ("measures", "*", "words"), "crop": ("crops", "*", "words"), "topic": ("topics", "*", "asked"),
    "reply": ("replies", "*"), "sight": ("sights", "*"), "lesson": ("lessons", "*"), "stranger": ("strangers", "*"),
    "feel": ("feel", "*"), "squeeze": ("squeeze", "*"), "smell": ("smell", "*"), "rain": ("rain", "*"),
    "answer": ("answer", "*"), "manure": ("manure",), "common": ("common",),
}  # fmt: skip
"""What may be taught, and where it stands in a word list; the star is the id. `common` says what a word is not."""
_NO_IDS = frozenset({"word", "as_answer"})
_MARKS = re.compile(r"[/?<>_…]|\.\.\.")


class BadWord(Exception):
    """A word that cannot be taught; the text says why."""


class TaughtWord(msgspec.Struct, frozen=True, kw_only=True):
    """A word or phrase of a language, and what it means: a section of SECTIONS and, if that has any, an id."""

    language: str
    phrase: str
    section: str
    id: str = ""


def checked(word: TaughtWord, words: WordList) -> TaughtWord:
    """The word as it is kept, if it can be taught to this list. Raises BadWord."""
    phrase = " ".join(word.phrase.split())
    if not phrase or len(phrase) > LONGEST or _MARKS.search(phrase) or not any(c.isalpha() for c in phrase):
        raise BadWord(
            f"{word.phrase!r}: write a word or some words as a farmer does, at most {LONGEST} letters"
        )
    word = msgspec.structs.replace(word, phrase=phrase)
    check_phrases(_added(words, [word]), lambda field, problem: BadWord(problem))
    if word.section != "common":
        _check_new(word, words)
    return word


def with_taught(
    words: WordList, taught: Iterable[TaughtWord]
) -> tuple[WordList, list[tuple[TaughtWord, str]]]:
    """The list with the taught words that fit it, and those that do not, each with the reason.

    A word that was taught may have come to mean something else in the list of a later release.
    """
    taught = [word for word in taught if word.language == words.code]
    try:
        return _checked_list(words, taught), []
    except BadWord:
        pass
    refused: list[tuple[TaughtWord, str]] = []
    for word in taught:
        try:
            words = _checked_list(words, [word])
        except BadWord as exc:
            refused.append((word, str(exc)))
    return words, refused


def as_word_lists(taught: Iterable[TaughtWord]) -> dict[str, Any]:
    """The taught words in the shape of word lists, by language, to be put into the next release's."""
    lists: dict[str, Any] = {}
    for word in taught:
        *path, last = _path(word)
        place = lists.setdefault(word.language, {})
        for key in path:
            place = place.setdefault(key, {})
        place.setdefault(last, []).append(word.phrase)
    return lists


def _path(word: TaughtWord) -> list[str]:
    if word.section not in SECTIONS:
        raise BadWord(f"{word.section!r} cannot be taught; there are {', '.join(SECTIONS)}")
    path = SECTIONS[word.section]
    if ("*" in path) != bool(word.id):
        raise BadWord(f"{word.section}: {'say which' if '*' in path else 'has no ids'}")
    return [word.id if key == "*" else key for key in path]


def _added(words: WordList, taught: Iterable[TaughtWord]) -> WordList:
    plain = msgspec.to_builtins(words)
    for word in taught:
        path = _path(word)
        place: Any = plain
        for key in path:
            if key == word.id and (key not in place or key in _NO_IDS):
                known = ", ".join(each for each in place if each not in _NO_IDS)
                raise BadWord(f"{word.id!r} is no {word.section}; there are {known}")
            place = place[key]
        place.append(word.phrase)
    return msgspec.convert(plain, WordList)


def _checked_list(words: WordList, taught: list[TaughtWord]) -> WordList:
    if not taught:
        return words
    added = _added(words, taught)
    check_phrases(added, lambda field, problem: BadWord(problem))
    return added


def _check_new(word: TaughtWord, words: WordList) -> None:
    """That the phrase means nothing yet."""
    lexicon = Lexicon(words, Letters(words.letters, symbols(words)))
    for sense in lexicon.senses_of(word.phrase):
        means = f"{sense.category} {sense.id}".strip()
        if (sense.category, sense.id) == (word.section, word.id):
            raise BadWord(f"{word.phrase!r} is known already as {means}")
        if sense.category != "about":
            raise BadWord(f"{word.phrase!r} already means {means} ({_field(words, sense)})")


def _field(words: WordList, sense: Any) -> str:
    found = (entry for entry in entries(words) if entry.sense == sense)
    return next(map(_section_of, found), "")


def _section_of(entry: Entry) -> str:
    return entry.field.partition("[")[0]
