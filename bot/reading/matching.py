"""Finds in a text every phrase of every word list, and keeps those that say most."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import msgspec

from bot.reading.lexicon import UNITS, Lexicon, Node, Sense
from bot.reading.spelling import Guess, Speller
from bot.reading.tokens import STOPS, Token

LONGEST_GAP = 7
MOST_REPAIRS = 24
"""Unknown words of one text that are compared with the lists; hostile texts have more."""
Item = tuple[str, int]
_NEVER_INSIDE = frozenset({"about", "not"})
"""Kept even inside a longer phrase."""
_NOT_INSIDE_TOPICS = frozenset({"material", "manure", *UNITS})
"""Kept inside the phrase of a topic: `how much goat manure` names the goat's."""
SQUEEZE_OPENS = {"wet": "wet", "dry": "water"}
"""The topic that a report of moisture opens; `too wet` is both the topic and the report."""
_CLOSED = ".;!?\n"


class Span(msgspec.Struct, frozen=True):
    """A phrase found: which tokens it covers (as bits), the first and last of them, and what it means."""

    code: str
    sense: Sense
    mask: int
    first: int
    last: int

    @property
    def category(self) -> str:
        return self.sense.category

    @property
    def id(self) -> str:
        return self.sense.id


class Matches(msgspec.Struct):
    """All that was found. unclear: token number to the words it could be. unknown: tokens in no list.
    skipped: tokens that carry nothing. repaired: tokens whose spelling was mended. meant: tokens that some
    phrase holds, whether or not the whole phrase was found."""

    tokens: list[Token]
    spans: list[Span]
    unclear: dict[int, tuple[Guess, ...]]
    unknown: int
    skipped: int
    repaired: int
    meant: int
    by_category: dict[str, list[Span]]

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

    def about(self, *groups: str) -> bool:
        return any(span.id in groups for span in self.of("about"))

    def of(self, *categories: str) -> list[Span]:
        """The spans of some categories, from left to right within each."""
        if len(categories) == 1:
            return self.by_category.get(categories[0], [])
        return [span for name in categories for span in self.by_category.get(name, ())]


class Matcher:
    """Matches texts against all lists at once. The farmer's own language wins where lists disagree."""

    def __init__(self, lexicons: Mapping[str, Lexicon]) -> None:
        self._lexicons = dict(lexicons)
        self._speller = Speller(lexicons)

    def match(self, tokens: list[Token], language: str) -> Matches:
        forms, unclear, unknown, repaired = self._forms(tokens, language)
        spans: list[Span] = []
        for code, lexicon in self._lexicons.items():
            if any(forms[code]):
                spans += _walk(lexicon, tokens, forms[code])
        skipped = self._skipped(tokens, language, spans)
        kept = self._keep(spans, tokens, language)
        by_category: dict[str, list[Span]] = {}
        for span in kept:
            by_category.setdefault(span.sense.category, []).append(span)
        meant = sum(1 << i for i in range(len(tokens)) if any(words[i] for words in forms.values()))
        return Matches(tokens, kept, unclear, unknown, skipped, repaired, meant, by_category)

    def _forms(
        self, tokens: list[Token], language: str
    ) -> tuple[dict[str, list[str | None]], dict[int, tuple[Guess, ...]], int, int]:
        """For each list, the word that each token is in it."""
        forms: dict[str, list[str | None]] = {code: [None] * len(tokens) for code in self._lexicons}
        unclear: dict[int, tuple[Guess, ...]] = {}
        unknown = repaired = repairs = 0
        for i, token in enumerate(tokens):
            if token.kind != "word" or self._known(token.text, i, forms, language):
                continue
            repairs += 1
            guesses = self._speller.guesses(token.text) if repairs <= MOST_REPAIRS else ()
            chosen = self._choose(guesses, language)
            for guess in chosen:
                forms[guess.code][i] = guess.word
                repaired |= 1 << i
            if not chosen:
                unknown |= 1 << i
                if guesses:
                    unclear[i] = guesses
        return forms, unclear, unknown, repaired

    def _known(self, word: str, i: int, forms: dict[str, list[str | None]], language: str) -> bool:
        """Whether a list has the word. An ordinary word of the farmer's language is no word of another."""
        own = self._lexicons.get(language)
        for code, lexicon in self._lexicons.items():
            forms[code][i] = word if word in lexicon.meant else None
        if any(words[i] for words in forms.values()):
            if own and word in own.known and word not in own.meant:
                for code in forms:
                    forms[code][i] = None
            return True
        if any(word in lexicon.known for lexicon in self._lexicons.values()):
            return True
        for code, lexicon in self._lexicons.items():
            forms[code][i] = lexicon.find(word)
        return any(words[i] for words in forms.values())

    def _choose(self, guesses: tuple[Guess, ...], language: str) -> tuple[Guess, ...]:
        """The guesses if they come to one meaning in each list; those of the farmer's language first."""
        own = [guess for guess in guesses if guess.code == language] or list(guesses)
        meanings = {self._lexicons[guess.code].meaning(guess.word) for guess in own}
        if len(meanings) != 1:
            return ()
        # Of several forms take the one that stands in most phrases.
        best: dict[str, Guess] = {}
        for guess in sorted(own, key=lambda each: len(self._lexicons[each.code].meant[each.word])):
            best[guess.code] = guess
        return tuple(best.values())

    def _skipped(self, tokens: list[Token], language: str, spans: Iterable[Span]) -> int:
        """Tokens without weight: skip words of the farmer's language or of one that a span is in."""
        codes = {span.code for span in spans} | {language}
        lists = [self._lexicons[code].skip for code in codes if code in self._lexicons]
        return sum(
            1 << i for i, t in enumerate(tokens) if t.kind == "mark" or any(t.text in each for each in lists)
        )

    def _keep(self, spans: list[Span], tokens: list[Token], language: str) -> list[Span]:
        """Without spans that lie wholly inside a longer one, and without a foreign reading of an own word."""
        own = self._lexicons.get(language)
        own_known = own.known if own else set()
        kept: dict[tuple[Sense, int], Span] = {}
        around = _by_token(spans)
        for span in sorted(spans, key=lambda each: each.code != language):
            if span.category not in _NEVER_INSIDE and any(
                span.mask & mask == span.mask != mask and not _survives(span.sense, holder)
                for mask, holder in around.get(span.first, ())
            ):
                continue
            single = span.first == span.last
            if single and span.code != language and tokens[span.first].text in own_known:
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
    if holder.category != "topic":
        return False
    return sense.category in _NOT_INSIDE_TOPICS or (
        sense.category == "squeeze" and SQUEEZE_OPENS.get(sense.id) == holder.id
    )


def _walk(lexicon: Lexicon, tokens: list[Token], forms: list[str | None]) -> list[Span]:
    stream: list[Item] = []
    for i, token in enumerate(tokens):
        if token.kind == "word":
            unit = token.stuck and i > 0 and tokens[i - 1].kind == "number"
            if unit or token.text not in lexicon.skip:
                stream.append((forms[i] or "", i))
        elif token.kind == "number" or token.text in STOPS:
            stream.append(("", i))
    spans: list[Span] = []
    pieces: dict[int, list[tuple[int, int, int]]] = {}
    for start in range(len(stream)):
        for number, end, mask in _ends(lexicon.tree, stream, start):
            if number < 0:
                pieces.setdefault(number, []).append((start, end, mask))
            else:
                spans.append(_span(lexicon, number, mask))
    for number, found in pieces.items():
        for rest, sense in lexicon.chains.get(number, ()):
            if all(each in pieces for each in rest):
                closed = _CLOSED if lexicon.senses[sense].category == "topic" else _CLOSED + ","
                masks = [mask for mask in _linked(found, rest, pieces) if not _crosses(mask, tokens, closed)]
                spans += [_span(lexicon, sense, mask) for mask in masks]
    return spans


def _crosses(mask: int, tokens: list[Token], closed: str) -> bool:
    """Whether one of the marks that close a sentence or list item stands between the first and last token."""
    first = (mask & -mask).bit_length() - 1
    return any(tokens[i].text in closed for i in range(first, mask.bit_length()) if tokens[i].kind == "mark")


def _ends(tree: Node, stream: list[Item], start: int) -> list[tuple[int, int, int]]:
    """Every phrase or piece that begins at `start`: its number, the place after it, its tokens as bits."""
    found = []
    node: Node | None = tree
    mask = 0
    for place in range(start, len(stream)):
        word, token = stream[place]
        node = node.get(word) if word and node else None
        if node is None:
            break
        mask |= 1 << token
        for number in node.get("", ()):
            found.append((number, place + 1, mask))
    return found


def _linked(
    first: list[tuple[int, int, int]], rest: tuple[int, ...], pieces: Mapping[int, list[tuple[int, int, int]]]
) -> list[int]:
    """Bits of every run of pieces that follow one another with short gaps."""
    masks = []
    for _, end, mask in first:
        for piece in rest:
            after = [each for each in pieces[piece] if end <= each[0] <= end + LONGEST_GAP]
            if not after:
                break
            # the nearest; of several at one place the longest
            _, end, more = min(after, key=lambda each: (each[0], -each[1]))
            mask |= more
        else:
            masks.append(mask)
    return masks


def _span(lexicon: Lexicon, sense: int, mask: int) -> Span:
    first = (mask & -mask).bit_length() - 1
    return Span(lexicon.code, lexicon.senses[sense], mask, first, mask.bit_length() - 1)
