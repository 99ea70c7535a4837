"""Finds the slips in a word list that would make it mean what its writer did not think."""

from __future__ import annotations

from collections.abc import Callable

from bot.reading.entries import KEYWORDS, UNITS, Entry, entries, skipped_in, symbols
from bot.reading.letters import Letters
from bot.reading.phrases import BadPhrase, Expander, Pattern, Piece, spelling_table, without_skipped
from bot.reading.words import WordList

Report = Callable[[str, str], Exception]
"""Makes the error for a field and a problem."""
# Inside one family a phrase may stand for one thing only.
_FAMILIES = {
    "material": "material", "short": "material", "manure": "material", "unclear": "material",
    "forbidden": "material", "forbidden_short": "material",
    "feel_answer": "feel", "squeeze_answer": "squeeze", "smell_answer": "smell", "rain_answer": "rain",
    "length": "unit", "area": "unit", "temperature": "unit", "time": "unit",
}  # fmt: skip
_GRAMMAR = frozenset({"name_before", "not", "when", "range", "and", "between", "answer", "reply"})


def check_phrases(words: WordList, error: Report) -> None:
    """Raises `error(field, problem)` for a phrase that cannot be read or that stands for two things at once."""
    letters = Letters(words.letters, symbols(words))
    expander = _checked_groups(words, letters, error)
    polite = {w for phrase in words.polite for w in expander.words(phrase)}
    skip = polite | {w for phrase in words.skip for w in expander.words(phrase)}
    weak = {word for piece in expander.pattern("<very>")[0] for word in piece}
    seen: dict[tuple[str, Piece], Entry] = {}
    written: list[tuple[Entry, Pattern]] = []
    for entry in entries(words):
        try:
            written.append((entry, expander.pattern(entry.phrase)))
            dropped = () if entry.sense.category == "alone" else skipped_in(entry, skip)
            pattern = without_skipped(written[-1][1], dropped, entry.phrase)
        except BadPhrase as exc:
            raise error(entry.field, str(exc)) from None
        _check_once(entry, pattern, seen, error)
        _check_says_something(entry, pattern, weak, error)
    for entry, pattern in written:
        keyword = entry.sense.category == "alone" and entry.sense.id in KEYWORDS
        _check_not_worn_down(entry, pattern, expander, polite if keyword else skip, seen, error)


def _checked_spelling(words: WordList, letters: Letters, error: Report) -> dict[str, str]:
    """Each way to write a word belongs to one word, which is no other way to write another."""
    table: dict[str, str] = {}
    for word, others in words.spellings.items():
        own = {word: others}
        for each, plain in spelling_table(own, letters).items():
            if " " in f"{each}{plain}":
                raise error(f"spellings.{word}", f"{each!r} for {plain!r}: single words stand here")
            if table.setdefault(each, plain) != plain:
                raise error(f"spellings.{word}", f"{each!r} also stands for {table[each]!r}")
    for each, plain in table.items():
        if plain in table:
            raise error("spellings", f"{each!r} stands for {plain!r}, which stands for {table[plain]!r}")
    return table


def _checked_groups(words: WordList, letters: Letters, error: Report) -> Expander:
    spelling = _checked_spelling(words, letters, error)
    for name, phrases in words.groups.items():
        try:
            Expander(letters, {name: phrases}, spelling)
        except BadPhrase as exc:
            raise error(f"groups.{name}", str(exc)) from None
    return Expander(letters, words.groups, spelling)


def _check_once(
    entry: Entry,
    pattern: Pattern,
    seen: dict[tuple[str, Piece], Entry],
    error: Report,
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


def _check_says_something(entry: Entry, pattern: Pattern, weak: set[str], error: Report) -> None:
    """A slip such as `very hot/warm?` leaves `very` alone, which would then mean hot."""
    if entry.sense.category in ("about", "alone", *_GRAMMAR) or entry.sense.category.startswith("choice_"):
        return
    for piece in pattern[0] if len(pattern) == 1 else ():
        if all(word in weak for word in piece) and not entry.sense.category.endswith("_answer"):
            raise error(entry.field, f"{entry.phrase!r} may be only {' '.join(piece)!r}, which says nothing")


def _parts_as_written(entry: Entry, expander: Expander) -> frozenset[Piece]:
    return frozenset().union(*expander.pattern(entry.phrase))


def _check_not_worn_down(
    entry: Entry,
    pattern: Pattern,
    expander: Expander,
    skip: set[str],
    seen: dict[tuple[str, Piece], Entry],
    error: Report,
) -> None:
    """`stop your` is only `stop` once skip words are gone: it must not mean more than the writer thought."""
    if entry.sense.category in ("about", "name_before", *UNITS) or entry.sense.category.startswith("choice_"):
        return
    family = _FAMILIES.get(entry.sense.category, entry.sense.category)
    for piece in pattern[0] if len(pattern) == 1 else ():
        left = tuple(word for word in piece if word not in skip)
        other = seen.get((family, left))
        if len(left) == 1 < len(piece) and not (other and left in _parts_as_written(other, expander)):
            raise error(
                entry.field,
                f"{' '.join(piece)!r} is only {left[0]!r} without skip words: write that, or more",
            )
