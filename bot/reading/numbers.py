"""Reads the numbers in a text: digits, words (`one and a half`, `mbili na nusu`), fractions, ranges."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import msgspec

from bot.reading.lexicon import Lexicon
from bot.reading.tokens import Token


class Number(msgspec.Struct, frozen=True):
    """A number with the tokens that it covers. `middle`: it is the middle of a range that was given."""

    value: float
    first: int
    last: int
    middle: bool = False


class NumberReader:
    def __init__(self, lexicons: Mapping[str, Lexicon]) -> None:
        self._lexicons = dict(lexicons)

    def read(self, tokens: Sequence[Token], language: str, present: Sequence[str] = ()) -> list[Number]:
        """The numbers of a text from left to right, ranges not yet joined.

        language : the one whose words win. present : others whose number words count too.
        """
        own = self._lexicons.get(language)
        others = [self._lexicons[code] for code in present]
        found: list[Number] = []
        i = 0
        while i < len(tokens):
            number = self._at(tokens, i, own, others)
            if number:
                found.append(number)
            i = number.last + 1 if number else i + 1
        return found

    def _at(
        self, tokens: Sequence[Token], i: int, own: Lexicon | None, others: list[Lexicon]
    ) -> Number | None:
        token = tokens[i]
        if token.kind == "number":
            return None if token.value is None else self._digits(tokens, i, own, others)
        if token.kind != "word":
            return None
        best = _spell(tokens, i, own) if own else None
        if own and token.text in own.known:  # `do` is no Hindi two in an English text
            return best
        for lexicon in others:
            number = _spell(tokens, i, lexicon)
            if number and (best is None or number.last > best.last):
                best = number
        return best

    def _digits(
        self, tokens: Sequence[Token], i: int, own: Lexicon | None, others: list[Lexicon]
    ) -> Number | None:
        value = tokens[i].value
        assert value is not None
        fraction = _slash(tokens, i)
        if fraction:
            return fraction
        after = _slash(tokens, i + 1)
        if after and after.value < 1 and value >= 1 and value == int(value):  # 2 1/2
            return Number(value + after.value, i, after.last)
        for lexicon in [own, *others] if own else others:
            grown = _with_fraction(tokens, i, value, lexicon) or _with_scale(tokens, i, value, lexicon)
            if grown:
                return grown
        return Number(value, i, i)


def _slash(tokens: Sequence[Token], i: int) -> Number | None:
    """`1/2` at token i."""
    part = tokens[i : i + 3]
    if len(part) < 3 or part[1].text != "/" or part[0].kind != "number" or part[2].kind != "number":
        return None
    top, bottom = part[0].value, part[2].value
    small = top in (1, 2, 3) and bottom in (2, 3, 4, 5, 8, 10)
    more = len(tokens) > i + 3 and tokens[i + 3].text == "/"
    return Number(top / bottom, i, i + 2) if small and not more and top and bottom and top < bottom else None


def _with_fraction(tokens: Sequence[Token], i: int, value: float, lexicon: Lexicon) -> Number | None:
    """`2 na nusu`: digits and then a fraction in words."""
    place = after_joiner(tokens, i + 1, lexicon)
    if place is None or place >= len(tokens):
        return None
    fraction = lexicon.numbers.get(tokens[place].text, math.nan)
    return Number(value + fraction, i, place) if 0 < fraction < 1 and value >= 1 else None


def _with_scale(tokens: Sequence[Token], i: int, value: float, lexicon: Lexicon) -> Number | None:
    """`5 thousand`, `2 lakh`, `5k`: digits and then a scale, in every language."""
    scale = lexicon.scales.get(tokens[i + 1].text) if i + 1 < len(tokens) else None
    return Number(value * scale, i, i + 1) if scale and 0 < value < scale else None


def after_joiner(tokens: Sequence[Token], i: int, lexicon: Lexicon) -> int | None:
    """The place after a joiner at i (and a skip word such as the `a` of `and a half`), if one stands there."""
    if i >= len(tokens) or tokens[i].text not in lexicon.joiners:
        return None
    i += 1
    if i + 1 < len(tokens) and tokens[i].text in lexicon.skip and tokens[i + 1].text in lexicon.numbers:
        i += 1
    return i


def _spell(tokens: Sequence[Token], i: int, lexicon: Lexicon) -> Number | None:
    """The longest number in words that begins at token i."""
    if tokens[i].text not in lexicon.numbers:
        return None
    added = lexicon.before.get(tokens[i].text)
    if added is not None and i + 1 < len(tokens):
        whole = _spell(tokens, i + 1, lexicon) or _plain(tokens, i + 1)
        if whole:
            return Number(whole.value + added, i, whole.last)
    return _sum(tokens, i, lexicon)


def _plain(tokens: Sequence[Token], i: int) -> Number | None:
    value = tokens[i].value if tokens[i].kind == "number" else None
    return None if value is None else Number(value, i, i)


def _sum(tokens: Sequence[Token], i: int, lexicon: Lexicon) -> Number | None:
    part = _part(tokens, i, lexicon)
    if part is None:
        return None
    total, last, place = part.value, part.last, _place(part.value)
    while True:
        joined = after_joiner(tokens, last + 1, lexicon)
        start = _past_hyphen(tokens, last + 1) if joined is None else joined
        more = _part(tokens, start, lexicon) if start < len(tokens) else None
        # Only a smaller part can follow: tens then ones, a whole then a fraction (which needs its joiner).
        if more is None or more.value >= place or (more.value < 1 and joined is None):
            return Number(total, i, last)
        if total < 20 and more.value >= 1 and joined is None:  # `ten two` is two numbers
            return Number(total, i, last)
        total, last, place = total + more.value, more.last, _place(more.value)


def _place(value: float) -> float:
    """What may still be added to a number word must be below this: 10 after twenty, 1 after three."""
    if value < 1:
        return 0
    for power in (1e9, 1e6, 1000, 100, 10):
        if value % power == 0:
            return power
    return 1


def _part(tokens: Sequence[Token], i: int, lexicon: Lexicon) -> Number | None:
    """One number word (of up to three words), with a scale before or after it."""
    scale = lexicon.scales.get(tokens[i].text)
    if scale is not None and len(tokens[i].text) == 1:
        return None  # the k of `5k` is no thousand by itself
    if scale is not None:
        if lexicon.rules.scale_first and i + 1 < len(tokens):
            times = _word(tokens, i + 1, lexicon) or _plain(tokens, i + 1)
            if times and 1 <= times.value < scale:
                return Number(scale * times.value, i, times.last)
        return Number(scale, i, i)
    word = _ones_first(tokens, i, lexicon) or _word(tokens, i, lexicon)
    if word and not lexicon.rules.scale_first and word.last + 1 < len(tokens):
        scale = lexicon.scales.get(tokens[word.last + 1].text)
        if scale is not None and word.value >= 1:
            return Number(word.value * scale, i, word.last + 1)
    return word


def _ones_first(tokens: Sequence[Token], i: int, lexicon: Lexicon) -> Number | None:
    """`five and twenty`, where the language says it so."""
    ones = _word(tokens, i, lexicon) if lexicon.rules.ones_first else None
    if ones is None or not 1 <= ones.value < 10:
        return None
    place = after_joiner(tokens, ones.last + 1, lexicon)
    tens = _word(tokens, place, lexicon) if place is not None and place < len(tokens) else None
    fits = tens is not None and tens.value % 10 == 0 and 20 <= tens.value < 100
    return Number(ones.value + tens.value, i, tens.last) if tens and fits else None


def _word(tokens: Sequence[Token], i: int, lexicon: Lexicon) -> Number | None:
    places = [i]
    while len(places) < 3 and (place := _past_hyphen(tokens, places[-1] + 1)) < len(tokens):
        places.append(place)
    for length in range(len(places), 0, -1):
        words = [tokens[place].text for place in places[:length]]
        value = lexicon.numbers.get(" ".join(words), math.nan)
        if not math.isnan(value) and words[0] not in lexicon.scales:
            return Number(value, i, places[length - 1])
    return None


def _past_hyphen(tokens: Sequence[Token], i: int) -> int:
    """The place of the next word: `dix-sept` and `twenty-five` are one number. A range (`ten-twenty`) grows."""
    return i + 1 if i + 1 < len(tokens) and tokens[i].text == "-" and tokens[i + 1].kind == "word" else i


def join_ranges(numbers: list[Number], is_range: Sequence[bool], is_dash: Sequence[bool]) -> list[Number]:
    """Joins `10-12` or `10 to 12` into 11. is_range[k]: a range word or dash stands between numbers k and k + 1;
    is_dash[k]: it is a dash, and two dashes in a row (2-3-2) make no range."""
    joined: list[Number] = []
    k = 0
    while k < len(numbers):
        this = numbers[k]
        chain = (
            any(0 <= n < len(is_dash) and is_dash[n] and is_dash[k] for n in (k - 1, k + 1))
            if k < len(is_dash)
            else 0
        )
        if k < len(is_range) and is_range[k] and not chain and 0 <= this.value < numbers[k + 1].value:
            other = numbers[k + 1]
            this = Number((this.value + other.value) / 2, this.first, other.last, middle=True)
            k += 1
        joined.append(this)
        k += 1
    return joined
