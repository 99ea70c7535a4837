"""Reads what stands beside a report or question: what was seen on the pile, when, which crop, what to explain."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from bot.reading.lexicon import Lexicon
from bot.reading.matching import Matches
from bot.reading.meaning import Kind
from bot.reading.spans import Span
from bot.reading.units import Found

_NO_FARMER = ("advert", "auto_reply")
_PILE_TOLD = ("feel", "squeeze", "smell", "sight", "temperature")
LONGEST_NAME = 4
"""Words of a name or place; a longer text is taken whole, whatever it begins with."""


def told_beside(matches: Matches, found: Found, expect: Kind | None, lesson: str | None) -> dict[str, Any]:
    """The fields of a Meaning that are found wherever they stand."""
    return {
        "seen": tuple(dict.fromkeys(s.id for s in matches.of("sight") if not matches.negated(s))),
        "lesson": lesson,
        "crop": _one(matches, "crop"),
        "stranger": "insult" if any(each.id == "insult" for each in matches.of("stranger")) else None,
        "days_ago": found.days_ago,
        "choice": _one(matches, f"choice_{expect}"),
        "nothing": False,
    }


def _one(matches: Matches, category: str) -> str | None:
    spans = matches.of(category)
    ids = {one.id for one in spans if not any(one.mask & two.mask == one.mask != two.mask for two in spans)}
    return ids.pop() if len(ids) == 1 else None


def nothing_there(matches: Matches, no: bool, expect: Kind | None) -> bool:
    """`no`, `none` or `no smell` where a smell or animals are asked for. no : whether the text says no."""
    if expect == "smell":
        smells = [span for span in matches.of("about") if span.id == "smell"]
        none = any(span.id == "none" for span in matches.of("smell_answer"))
        return no or none or any(matches.negated(span) for span in smells)
    return expect == "animals" and no


def stranger(matches: Matches) -> str | None:
    """Whether a text is no farmer's (`advert`, `auto_reply`) or an `insult`; an advert may hold an insult."""
    ids = {span.id for span in matches.of("stranger")}
    return next((each for each in (*_NO_FARMER, "insult") if each in ids), None)


def from_no_farmer(matches: Matches) -> bool:
    """An advert or a machine's reply. One such phrase in a text that reports of a pile is still a farmer's, and so
    is a cry for help to which `please call me` is added."""
    spans = [span for span in matches.of("stranger") if span.id in _NO_FARMER]
    if not spans:
        return False
    told = matches.about("pile", "stick") and bool(matches.of(*_PILE_TOLD))
    cries = any(_is_a_cry(span, matches) for span in matches.of("topic"))
    advert = any(span.id == "advert" for span in spans)
    return len(spans) > 1 or not (told or (cries and not advert))


def _is_a_cry(span: Span, matches: Matches) -> bool:
    """Danger told in more than one word: `in an emergency dial ...` is none."""
    return span.id == "danger" and span.mask.bit_count() > 1 and not matches.negated(span)


def lesson_asked(matches: Matches) -> str | None:
    """The one lesson asked for, unless a longer phrase asks for something else."""
    spans = matches.of("lesson")
    if not spans:
        return None
    longest = max(span.mask.bit_count() for span in spans)
    if any(span.mask.bit_count() > longest for span in matches.of("topic")):
        return None
    ids = {span.id for span in spans if span.mask.bit_count() == longest}
    return ids.pop() if len(ids) == 1 else None


def words_after_name(matches: Matches, lexicons: Iterable[Lexicon]) -> int:
    """1 if a short answer ends with a word that only closes the sentence, and a name stands before it; else 0."""
    written = [token.text for token in matches.tokens if token.kind != "mark"]
    closes = any(written[-1:] and written[-1] in lexicon.name_after for lexicon in lexicons)
    return int(closes and 1 < len(written) <= LONGEST_NAME + 2)


def words_before_name(matches: Matches, lexicons: Iterable[Lexicon]) -> int:
    """How many words at the beginning of a short answer only lead to the name (`my name is`)."""
    written = [token.text for token in matches.tokens if token.kind != "mark"]
    longest = 0
    for lexicon in lexicons:
        words = tuple(lexicon.plain(word) for word in written)
        for piece in lexicon.name_before:
            if len(piece) > longest and words[: len(piece)] == piece:
                longest = len(piece)
    return longest if 0 < len(written) - longest <= LONGEST_NAME else 0
