"""Finds in a text every phrase of one word list, and the tokens that each covers."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from bot.reading.entries import Sense
from bot.reading.lexicon import Lexicon
from bot.reading.tokens import STOPS, Token
from bot.reading.tree import Item

LONGEST_GAP = 7
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


def walk(lexicon: Lexicon, tokens: list[Token], forms: list[str | None]) -> list[Span]:
    stream: list[Item] = []
    for i, token in enumerate(tokens):
        if token.kind == "word":
            unit = token.stuck and i > 0 and tokens[i - 1].kind == "number"
            if unit or token.text not in lexicon.skip or _is_range(i, tokens, lexicon):
                stream.append((lexicon.plain(forms[i] or ""), i))
        elif token.kind == "number" or token.text in STOPS:
            stream.append(("", i))
    spans: list[Span] = []
    pieces: dict[int, list[tuple[int, int, int]]] = {}
    for start in range(len(stream)):
        for number, end, mask in lexicon.tree.along(stream, start):
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


def _is_range(i: int, tokens: list[Token], lexicon: Lexicon) -> bool:
    """Whether a skip word stands for a range between two numbers: the `a` of `10 a 12`."""
    beside = (tokens[i - 1], tokens[i + 1]) if 0 < i < len(tokens) - 1 else ()
    numbers = [each for each in beside if each.kind == "number" or each.text in lexicon.numbers]
    return len(numbers) == 2 and tokens[i].text in lexicon.ranges


def _crosses(mask: int, tokens: list[Token], closed: str) -> bool:
    """Whether one of the marks that close a sentence or list item stands between the first and last token."""
    first = (mask & -mask).bit_length() - 1
    return any(tokens[i].text in closed for i in range(first, mask.bit_length()) if tokens[i].kind == "mark")


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
