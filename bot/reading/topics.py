"""Decides what a text is about, which reply word it is, and whether it says yes, no or later."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import msgspec

from bot.reading.beside import lesson_asked
from bot.reading.entries import KEYWORDS
from bot.reading.lexicon import Lexicon
from bot.reading.matching import Matches
from bot.reading.meaning import Kind
from bot.reading.spans import Span
from bot.reading.tokens import Token
from bot.reading.units import Found

MEANT_YES = frozenset({"done", "turned", "watered"})
"""Reply words that also answer `Did you ...?` with yes."""
_VALUES = frozenset({
    "alone", "topic", "reply", "answer", "feel", "squeeze", "smell", "rain", "rainword", "material", "short", "manure",
    "unclear", "forbidden", "forbidden_short", "measure", "length", "area", "rainunit", "temperature", "time", "and",
    "between", "cube", "side", "about", "when", "language", "range", "not", "lesson", "sight", "crop", "ago", "day_ago",
})  # fmt: skip
_GREETINGS = frozenset({"hello", "thanks"})
"""Reply words that say nothing where something else is said too: `good morning, the stick was hot`."""
MOST_BESIDE = 2
"""Words that may stand unexplained beside what nobody asked for; with more, it is said of something else."""
_TURNED = (
    "feel", "squeeze", "smell", "rainword", "material", "manure", "forbidden", "unclear", "short", "alone", "reply",
)  # fmt: skip
"""What a word for no may turn round."""
_TOLD = ("feel", "squeeze", "smell", "rain", "rainword", "answer", "forbidden", "measure")


class Topical(msgspec.Struct):
    """What a text is about. `asked`: by a phrase that says so, not only by its one word."""

    topic: str | None = None
    asked: bool = False
    alone: bool = False
    word: str | None = None
    span: Span | None = None


def whole_topic(tokens: list[Token], lexicons: Mapping[str, Lexicon], language: str) -> str | None:
    """The topic that the whole message names (STOP, `please help`), in any language, the farmer's first."""
    words = [token.text for token in tokens if token.kind != "mark"]
    if len(words) > 8:
        return None
    own = lexicons.get(language)
    codes = [code for code in lexicons if code == language] + [code for code in lexicons if code != language]
    for code in codes:
        lexicon = lexicons[code]
        key = " ".join(lexicon.plain(word) for word in words if word not in lexicon.polite)
        topic = lexicon.whole.get(key)
        if topic and (code == language or not (own and _says_something(words, own))):
            return topic
    return None


def _says_something(words: list[str], own: Lexicon) -> bool:
    """Whether a message as it stands is a phrase of the farmer's list, so that it is no keyword of another."""
    return any(sense.category != "about" for sense in own.senses_of_words(words))


def rest_of_words(matches: Matches, found: Found) -> int:
    """Bits of the words that no value, topic or unit explains."""
    explained = matches.skipped
    for span in matches.spans:
        if span.category in _VALUES:
            explained |= span.mask
    for quantity in found.quantities:
        for i in range(quantity.number.first, quantity.number.last + 1):
            explained |= 1 << i
    return ((1 << len(matches.tokens)) - 1) & ~explained


def find_topic(matches: Matches, found: Found, whole: str | None, options: Collection[str]) -> Topical:
    asked = matches.of("topic")
    danger = [span for span in asked if span.id == "danger" and _sure(span, matches)]
    asked = [span for span in asked if span.id != "danger"]
    if danger:
        return Topical("danger", asked=True)
    words = [i for i, token in enumerate(matches.tokens) if token.kind != "mark"]
    opening = [span for span in matches.of("alone") if words and span.first == words[0]]
    for span in opening:
        if span.id == "trainer" or (span.id == "join" and _may_be_code(span, words, matches)):
            return Topical(span.id, asked=True, alone=span.last == words[-1], span=span)
    if lesson_asked(matches):
        return Topical()
    if asked:
        best = max(asked, key=lambda each: (each.mask.bit_count(), each.first - each.last, -each.first))
        said = _said_at_length(matches, best.mask.bit_count())
        return Topical(word=said) if said else Topical(best.id, asked=True)
    rest = rest_of_words(matches, found)
    topical = Topical(word=_reply(matches, rest, options))
    if topical.word and (topical.word in options or whole is None):
        topical.alone = not rest and not found.quantities
        return topical
    if whole:
        return Topical(whole, alone=True)
    if not rest:
        topical.topic = _named(matches)
    return topical


def _said_at_length(matches: Matches, words: int) -> str | None:
    """A reply of more words than that: `worth making compost` says more than `make compost`."""
    said = [s for s in matches.of("reply") if s.mask.bit_count() > words and not matches.negated(s)]
    said = [s for s in said if s.id not in _GREETINGS]
    return max(said, key=lambda each: each.mask.bit_count()).id if said else None


def _sure(span: Span, matches: Matches) -> bool:
    """Danger is not denied, and does not hang on one word whose spelling was mended."""
    return not matches.negated(span) and (span.mask.bit_count() > 1 or not span.mask & matches.repaired)


def _named(matches: Matches) -> str | None:
    """The one topic that a text names by its word. The pile is no topic where something is told of it."""
    pile = {span.mask for span in matches.of("about") if span.id == "pile"}
    named = [span for span in matches.of("alone") if span.id not in KEYWORDS]
    named = [span for span in named if span.id != "smell" or not matches.negated(span)]
    topics = {span.id for span in named if span.mask not in pile}
    if not topics and not matches.of(*_TOLD, "sight"):
        topics = {span.id for span in named}
    return topics.pop() if len(topics) == 1 else None


def _may_be_code(span: Span, words: list[int], matches: Matches) -> bool:
    """Whether little enough follows JOIN: a code, or `please`; more words if one is a number."""
    after = [i for i in words if i > span.last]
    return len(after) <= 2 or (len(after) <= 4 and any(matches.tokens[i].kind == "number" for i in after))


def _reply(matches: Matches, rest: int, options: Collection[str]) -> str | None:
    """The reply word, if it is all that is said, is said in a phrase, or opens the answer to a question
    that offers it."""
    spans = [span for span in said(matches, "reply") if not matches.negated(span)]
    if matches.of(*_TOLD, "sight", "material", "lesson"):
        spans = [span for span in spans if span.id not in _GREETINGS]
    first = next((i for i, token in enumerate(matches.tokens) if token.kind != "mark"), 0)
    good = [
        span
        for span in spans
        if not rest or span.mask.bit_count() > 1 or (span.id in options and span.first == first)
    ]
    if not good:
        return None
    best = max(good, key=lambda each: (each.id in options, each.mask.bit_count(), -each.first))
    same = {each.id for each in good if each.mask == best.mask and each.id in options} or {best.id}
    return best.id if best.id in same else sorted(same)[0]


def said(matches: Matches, category: str) -> list[Span]:
    """The replies or answers of a text. A word of the group `lone` is one only if it is all that was written:
    `ya` says that it is done, `ya está frío` only that it is cold by now."""
    lone = {span.mask for span in matches.of("about") if span.id == "lone"}
    words = sum(1 << i for i, token in enumerate(matches.tokens) if token.kind != "mark")
    return [s for s in matches.of(category) if s.mask not in lone or not words & ~(s.mask | matches.skipped)]


def find_answer(matches: Matches, rest: int, expect: Kind | None) -> tuple[str | None, bool]:
    """yes, no or later, and whether the text says two of them."""
    words = [i for i, token in enumerate(matches.tokens) if token.kind != "mark"]
    words = [i for i in words if not matches.skipped >> i & 1 or len(matches.tokens[i].text) == 1] or words
    expected = expect in ("yesno", "rain")
    values = {span.mask for span in matches.of(str(expect), f"{expect}_answer")} if expect else set()
    spans = [s for s in said(matches, "answer") if not _negates(s, matches) and s.mask not in values]
    told = [s.mask for s in matches.of("feel", "squeeze", "smell", "rain") if s.mask.bit_count() > 1]
    spans = [s for s in spans if not any(s.mask & mask for mask in told)]  # the `not` of `have not had rain`
    if not spans:
        return None, False
    spans = [
        span
        for span in spans
        if span.mask.bit_count() > 1 or words[0] >= span.first or words[-1] <= span.last
    ]
    opening = [span for span in spans if span.first <= words[0] and _apart(span, matches)]
    phrases = [span for span in spans if span.mask.bit_count() > 1]
    counted = spans if expected or not rest else opening or phrases
    if expect in (None, "topic") and rest:
        # `mother is in hospital, I will call you when she comes home` puts nothing off.
        counted = opening if rest.bit_count() <= MOST_BESIDE else []
    ids = {span.id for span in counted}
    if ids in ({"no", "later"}, {"yes", "later"}):  # "no, later", "ok later", but "did it yesterday evening"
        return "yes" if "yes" in ids and matches.of("day_ago") else "later", False
    return (ids.pop(), False) if len(ids) == 1 else (None, len(ids) > 1)


def _apart(span: Span, matches: Matches) -> bool:
    """Whether what opens a text is an answer: more than two words run on from the `no` of `no money for school`."""
    if span.id != "no" or span.mask.bit_count() > 1:
        return True
    after = matches.tokens[span.last + 1 : span.last + 4]
    return len(after) < 3 or any(token.kind == "mark" for token in after[:1])


def _negates(span: Span, matches: Matches) -> bool:
    """Whether a word for no only turns the word beside it round: `no rain`, `गरम नहीं`, but not `no, rain`."""
    sides = {each.id for each in matches.of("not") if each.mask == span.mask}
    return bool(sides) and any(
        (each.first > span.last and matches.nothing_between(span.last, each.first))
        or ("after" in sides and each.last < span.first and matches.nothing_between(each.last, span.first))
        for each in matches.of(*_TURNED)
    )
