"""Finds in a text every phrase of every word list, and keeps those that say most."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping

import msgspec

from bot.reading.entries import DANGER, UNITS, Sense
from bot.reading.languages import LanguageFinder, Written, weighty
from bot.reading.lexicon import Lexicon
from bot.reading.spans import Span, walk
from bot.reading.spelling import Guess, Speller
from bot.reading.tokens import STOPS, Token
from bot.reading.words import CHOICES

MOST_REPAIRS = 16
"""Unknown words of one text that are compared with the lists; hostile texts have more."""
_NEVER_INSIDE = frozenset({"about", "not", *(f"choice_{kind}" for kind in CHOICES)})
"""Kept even inside a longer phrase, and hiding no shorter one: they count for one question only, or beside others."""
_NOT_INSIDE_TOPICS = frozenset({"material", "manure", "crop", *UNITS})
"""Kept inside the phrase of a topic: `how much goat manure` names the goat's."""
_STRAY = frozenset({
    "material", "short", "manure", "unclear", "forbidden", "forbidden_short", *UNITS, "crop", "sight", "lesson", "topic",
    "alone", "feel", "squeeze", "smell", "rain", "rainword", "language", "stranger",
})  # fmt: skip
"""What a word of another language may say in the middle of the farmer's own: no grammar, no answer."""
_TIME = frozenset({"time", "ago", "day_ago"})
SQUEEZE_OPENS = {"wet": "wet", "dry": "water"}
"""The topic that a report of moisture opens; `too wet` is both the topic and the report."""


class Matches(msgspec.Struct):
    """All that was found. unclear: token number to the words it could be. unknown: tokens in no list.
    skipped: tokens that carry nothing. repaired: tokens whose spelling was mended. meant: tokens that some
    phrase holds, whether or not the whole phrase was found. between: words that separate sides, also skip words."""

    tokens: list[Token]
    spans: list[Span]
    unclear: dict[int, tuple[Guess, ...]]
    unknown: int
    skipped: int
    repaired: int
    meant: int
    by_category: dict[str, list[Span]]
    written: Written
    between: Collection[str]

    def negated(self, span: Span) -> bool:
        """Whether a negation stands right before or after a span, words without weight aside."""
        for other in self.of("not"):
            before, after = other.last < span.first, other.first > span.last
            if (before and other.id == "before" and self.nothing_between(other.last, span.first)) or (
                after and other.id == "after" and self.nothing_between(span.last, other.first)
            ):
                return True
        return False

    def nothing_between(self, last: int, first: int) -> bool:
        """Only words without weight, or words for very, yet and have, stand between two tokens, and no stop."""
        light = self.skipped
        for span in self.of("about"):
            if span.id in ("very", "have"):
                light |= span.mask
        between = range(last + 1, first)
        return all(light >> i & 1 and self.tokens[i].text not in STOPS for i in between)

    def without(self, token: int) -> Matches:
        """The same without what one token means: it carries no weight."""
        spans = [span for span in self.spans if not span.mask >> token & 1]
        return msgspec.structs.replace(
            self,
            spans=spans,
            skipped=self.skipped | 1 << token,
            by_category=_by_category(spans),
        )

    def about(self, *groups: str) -> bool:
        return any(span.id in groups for span in self.of("about"))

    def of(self, *categories: str) -> list[Span]:
        """The spans of some categories, from left to right within each."""
        if len(categories) == 1:
            return self.by_category.get(categories[0], [])
        return [span for name in categories for span in self.by_category.get(name, ())]


class Matcher:
    """Matches texts against all lists at once. The language that a text is in wins where lists disagree."""

    def __init__(self, lexicons: Mapping[str, Lexicon]) -> None:
        self._lexicons = dict(lexicons)
        self._speller = Speller(lexicons)
        self._languages = LanguageFinder(lexicons)
        self._alarming: dict[str, list[str]] = {}
        for code, lexicon in lexicons.items():
            for word in lexicon.alarming:
                self._alarming.setdefault(word, []).append(code)

    def language_of(self, tokens: list[Token]) -> str | None:
        """The language that a text is in without doubt."""
        return self._languages.clearly(tokens)

    def match(self, tokens: list[Token], language: str) -> Matches:
        written = self._languages.find(tokens, language)
        forms, unclear, unknown, repaired = self._forms(tokens, written)
        spans: list[Span] = []
        for code, words in forms.items():
            if any(words):
                found = walk(self._lexicons[code], tokens, words)
                spans += found if code == written.main else _that_count(found, written, tokens)
        spans += self._alarms(tokens, forms)
        skipped = self._skipped(tokens, written, spans)
        kept = _keep(spans, written.main)
        meant = sum(1 << i for i in range(len(tokens)) if any(words[i] for words in forms.values()))
        between = self._lexicons[written.main].between if written.main in self._lexicons else ()
        return Matches(
            tokens, kept, unclear, unknown, skipped, repaired, meant, _by_category(kept), written, between
        )

    def _alarms(self, tokens: list[Token], forms: Mapping[str, list[str | None]]) -> list[Span]:
        """Danger told in two words or more of a language that has no other say: the farmer's list knows them all,
        but not what they say together."""
        counts = Counter(code for token in tokens for code in self._alarming.get(token.text, ()))
        found: list[Span] = []
        for code, count in counts.items():
            if count > 1 and not any(forms.get(code, ())):
                lexicon = self._lexicons[code]
                found += walk(
                    lexicon, tokens, [t.text if t.text in lexicon.alarming else None for t in tokens]
                )
        return [each for each in found if each.sense == DANGER and each.mask.bit_count() > 1]

    def _forms(
        self, tokens: list[Token], written: Written
    ) -> tuple[dict[str, list[str | None]], dict[int, tuple[Guess, ...]], int, int]:
        """For each list that acts, the word that each token is in it."""
        codes = [code for code in written.acting() if code in self._lexicons]
        forms: dict[str, list[str | None]] = {code: [None] * len(tokens) for code in codes}
        unclear: dict[int, tuple[Guess, ...]] = {}
        unknown = repaired = repairs = 0
        for i, token in enumerate(tokens):
            if token.kind != "word" or self._known(token.text, i, forms, written):
                continue
            repairs += 1
            guesses = (
                self._speller.guesses(token.text, written.main, written.present)
                if repairs <= MOST_REPAIRS
                else ()
            )
            chosen = self._choose(guesses)
            for guess in chosen:
                forms[guess.code][i] = guess.word
                repaired |= 1 << i
                if guess.code != written.main:
                    written.telling[guess.code] |= 1 << i
            if not chosen and not self._borrowed(token.text, i, forms, written):
                unknown |= 1 << i
                if guesses:
                    unclear[i] = guesses
        return forms, unclear, unknown, repaired

    def _known(self, word: str, i: int, forms: dict[str, list[str | None]], written: Written) -> bool:
        """Whether a list that has a say here knows the word. In another language it may be part of a phrase with a
        word of that language's own (`_that_count`)."""
        own = written.known >> i & 1
        codes = (written.main, *written.present)
        for code in codes:
            if code in forms:
                forms[code][i] = self._form(code, word)
        return bool(own) or any(written.telling[code] >> i & 1 for code in written.present)

    def _borrowed(self, word: str, i: int, forms: dict[str, list[str | None]], written: Written) -> bool:
        """Whether a stray word of another language is taken for what it means there."""
        if not weighty(word):
            return False
        for code in written.telling:
            if written.telling[code] >> i & 1:
                forms[code][i] = self._form(code, word)
        return any(words[i] for words in forms.values())

    def _form(self, code: str, word: str) -> str | None:
        lexicon = self._lexicons[code]
        return word if word in lexicon.known and word not in lexicon.meant else lexicon.find(word)

    def _choose(self, guesses: tuple[Guess, ...]) -> tuple[Guess, ...]:
        """The guesses if they come to one meaning."""
        meanings = {_without_groups(self._lexicons[guess.code].meaning(guess.word)) for guess in guesses}
        if len(meanings) != 1:
            return ()
        # Of several forms take the one that stands in most phrases.
        best: dict[str, Guess] = {}
        for guess in sorted(guesses, key=lambda each: len(self._lexicons[each.code].meant[each.word])):
            best[guess.code] = guess
        return tuple(best.values())

    def _skipped(self, tokens: list[Token], written: Written, spans: Iterable[Span]) -> int:
        """Tokens without weight: skip words of the main language, and of one that is mixed in or that a span is in
        unless the main one knows them."""
        main = self._lexicons[written.main].skip if written.main in self._lexicons else set()
        codes = {span.code for span in spans} | set(written.present)
        others = [self._lexicons[code].skip for code in codes - {written.main}]
        skipped = 0
        for i, token in enumerate(tokens):
            text = token.text
            if (
                token.kind == "mark"
                or text in main
                or (not written.known >> i & 1 and any(text in each for each in others))
            ):
                skipped |= 1 << i
        return skipped


def _without_groups(meaning: frozenset[Sense]) -> frozenset[Sense]:
    """What a word means, leaving out that phrases may hold it by a group."""
    return frozenset(sense for sense in meaning if sense.category != "about") or meaning


def _by_category(spans: list[Span]) -> dict[str, list[Span]]:
    by_category: dict[str, list[Span]] = {}
    for span in spans:
        by_category.setdefault(span.sense.category, []).append(span)
    return by_category


def _that_count(spans: list[Span], written: Written, tokens: list[Token]) -> list[Span]:
    """Of what another language reads into a text: all that holds a word of its own where it is meant as such;
    else what one word can say for sure."""
    if not spans:
        return spans
    code = spans[0].code
    telling = written.telling.get(code, 0)
    sure = code in written.present
    return [each for each in spans if each.mask & telling and (sure or each.category in _STRAY)]


def _keep(spans: list[Span], main: str) -> list[Span]:
    """Without spans that lie wholly inside a longer one; of the same in two languages the main one's."""
    kept: dict[tuple[Sense, int], Span] = {}
    around = _by_token(spans)
    for span in sorted(spans, key=lambda each: each.code != main):
        if span.category not in _NEVER_INSIDE and any(
            span.mask & mask == span.mask != mask and not _survives(span.sense, holder)
            for mask, holder in around.get(span.first, ())
        ):
            continue
        kept.setdefault((span.sense, span.mask), span)
    return sorted(kept.values(), key=lambda each: (each.first, each.last))


def _by_token(spans: Iterable[Span]) -> dict[int, set[tuple[int, Sense]]]:
    """For each token the phrases that cover it."""
    around: dict[int, set[tuple[int, Sense]]] = {}
    for span in spans:
        for i in range(span.first, span.last + 1):
            if span.mask >> i & 1 and span.category not in _NEVER_INSIDE:
                around.setdefault(i, set()).add((span.mask, span.sense))
    return around


def _survives(sense: Sense, holder: Sense) -> bool:
    """Whether a phrase is kept although it lies inside a longer one."""
    if holder.category == "reply":
        return sense.category in _TIME  # `built 10 days ago`
    if holder.category != "topic":
        return False
    return sense.category in _NOT_INSIDE_TOPICS or (
        sense.category == "squeeze" and SQUEEZE_OPENS.get(sense.id) == holder.id
    )
