"""Joins the numbers of a text with the units that stand next to them."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from itertools import pairwise

import msgspec

from bot.reading.entries import UNITS
from bot.reading.lexicon import Lexicon
from bot.reading.matching import Matches
from bot.reading.numbers import Number, NumberReader, after_joiner, join_ranges
from bot.reading.spans import Span

_SAYINGS = (
    "plain", "feel", "squeeze", "squeeze_answer", "smell", "rain", "rain_answer", "reply", "answer", "not",
)  # fmt: skip
CONTENTS = frozenset({"litre", "kg"})
"""Measures that tell how much a vessel holds."""
_HALVED = frozenset({"length", "area", "measure", "time"})


class Quantity(msgspec.Struct):
    """A number with the unit words next to it, by category (`mm` is a length and a unit of rain)."""

    number: Number
    units: dict[str, Span]
    used: bool = False

    @property
    def first(self) -> int:
        return min([self.number.first, *(unit.first for unit in self.units.values())])

    @property
    def last(self) -> int:
        return max([self.number.last, *(unit.last for unit in self.units.values())])


class Found(msgspec.Struct):
    """What the numbers of a text say, in metres, square metres, degrees Celsius, millimetres and days."""

    quantities: list[Quantity]
    size_m: tuple[float, float, float] | None = None
    part_of_size: bool = False
    area_m2: float | None = None
    celsius: float | None = None
    rain_mm: float | None = None
    days_ago: int | None = None
    measure: str | None = None
    measure_litres: float | None = None
    unclear: bool = False
    assumed: list[str] = []

    def left(self) -> list[Quantity]:
        return [each for each in self.quantities if not each.used]

    def assume(self, name: str) -> None:
        if name not in self.assumed:
            self.assumed.append(name)

    def use(self, quantities: list[Quantity]) -> None:
        for each in quantities:
            each.used = True
            if each.number.middle:
                self.assume("range_middle")


class UnitReader:
    """Reads all numbers of a text, ranges joined, each with its unit."""

    def __init__(self, lexicons: Mapping[str, Lexicon]) -> None:
        self._lexicons = dict(lexicons)
        self._numbers = NumberReader(lexicons)

    def read(self, matches: Matches) -> list[Quantity]:
        written = matches.written
        numbers = self._numbers.read(matches.tokens, written.main, written.present)
        numbers = [each for each in numbers if not _only_part_of_a_phrase(each, matches)]
        if not numbers:
            return self._with_unsaid_ones(self._single_units(matches), matches.of(*UNITS), matches)
        ranges = {span.first for span in matches.of("range")}
        dashes = [_between(a, b, matches) == "-" for a, b in pairwise(numbers)]
        is_range = [
            dash
            or (b.first - a.last == 2 and (a.last + 1 in ranges or self._is_between(a, matches)))
            or self._is_pair(numbers, k, matches)
            for k, (dash, (a, b)) in enumerate(zip(dashes, pairwise(numbers), strict=True))
        ]
        numbers = join_ranges(numbers, is_range, dashes)
        covered = {i for number in numbers for i in range(number.first, number.last + 1)}
        sides = matches.of("side") if len(matches.of("side")) >= 3 else []  # the L of L 3 W 2 H 1 is no litre
        covered |= {side.first for side in sides}
        units = [span for span in matches.of(*UNITS) if span.first not in covered]
        units.sort(key=lambda each: each.first)
        halved = self._halved(numbers, units, matches)
        numbers = [each for each in numbers if not any(_inside(each, whole.number) for whole in halved)]
        units = [each for each in units if not any(_inside(each, whole.number) for whole in halved)]
        quantities = [Quantity(number, {}) for number in numbers]
        _attach(quantities, units, matches)
        quantities += halved + self._single_units(matches, units, covered)
        quantities = [each for each in quantities if each.units or not _is_article(each, matches)]
        return self._with_unsaid_ones(quantities, units, matches)

    def _is_between(self, first: Number, matches: Matches) -> bool:
        """`between 2 and 3`, `kati ya 2 na 3`: a word before the first number, and a joiner before the second."""
        main = self._lexicons.get(matches.written.main)
        if main is None or matches.tokens[first.last + 1].text not in main.joiners:
            return False
        before = matches.tokens[max(first.first - 2, 0) : first.first]
        return any(token.text in main.range_opens for token in before)

    def _is_pair(self, numbers: list[Number], k: int, matches: Matches) -> bool:
        """Two number words in a row where the language says a range so (Hindi `das barah`, 10 to 12), and no third."""
        main = self._lexicons.get(matches.written.main)
        if main is None or not main.rules.pairs_are_ranges:
            return False
        row = [
            each
            for each in numbers[max(k - 1, 0) : k + 3]
            if abs(each.first - numbers[k].last) < 3 and matches.tokens[each.first].kind == "word"
        ]
        first, second = numbers[k], numbers[k + 1]
        touching = second.first == first.last + 1
        return touching and len(row) == 2 and first.value < second.value <= 2 * first.value

    def _halved(self, numbers: list[Number], units: list[Span], matches: Matches) -> list[Quantity]:
        """`two bags and a half`, `metro y medio`: a fraction said after the unit belongs to the number before
        it, or to one where there is no number; not if a unit of its own follows (`and half a bag`)."""
        starts = {number.first: number for number in numbers}
        halved = []
        for first in {unit.first: None for unit in units if unit.category in _HALVED}:
            same = {unit.category: unit for unit in units if unit.first == first}
            unit = next(iter(same.values()))
            place = after_joiner(matches.tokens, unit.last + 1, self._lexicons[unit.code])
            part = None if place is None else starts.get(place) or starts.get(place - 1)  # `e um quarto`
            if not part or not 0 < part.value < 1 or _touched(part, units, matches):
                continue
            before = [each for each in numbers if adjacent(each.last, first, matches)]
            whole = before[-1] if before else Number(1, first, first)
            halved.append(Quantity(Number(whole.value + part.value, whole.first, part.last), same))
        return halved

    def _with_unsaid_ones(
        self, quantities: list[Quantity], units: list[Span], matches: Matches
    ) -> list[Quantity]:
        """All quantities in their order, with those units that mean one of them since no number is said
        (Arabic `شوال روث`, a sack of manure); not after `how many` and the like."""
        said = {unit.first for each in quantities for unit in each.units.values()}
        asked = {span.last for span in matches.of("about") if span.id == "question"}
        ones: dict[int, Quantity] = {}
        for unit in units:
            alone = matches.tokens[unit.first].text in self._lexicons[unit.code].one_without_number
            if unit.category in _HALVED and alone and unit.first not in said and unit.first - 1 not in asked:
                one = ones.setdefault(unit.first, Quantity(Number(1, unit.first, unit.last), {}))
                one.units[unit.category] = unit
        return sorted([*quantities, *ones.values()], key=lambda each: each.first)

    def _single_units(
        self, matches: Matches, units: list[Span] | None = None, covered: Collection[int] = ()
    ) -> list[Quantity]:
        """`a bucket`, `an acre`: a word for one right before a unit."""
        tokens, single = matches.tokens, []
        for unit in matches.of("measure", "area") if units is None else units:
            before = unit.first - 1
            is_one = before >= 0 and tokens[before].text in self._ones(unit.code)
            start = before - 1  # `quarter of an acre`: the number before it counts, not the `an`
            while start >= 0 and matches.skipped >> start & 1 and tokens[start].kind == "word":
                start -= 1
            taken = before in covered or start in covered
            if unit.category in ("measure", "area") and is_one and not taken:
                single.append(Quantity(Number(1, before, before), {unit.category: unit}))
        return single

    def _ones(self, code: str) -> list[str]:
        return self._lexicons[code].one_before_measure


def _only_part_of_a_phrase(number: Number, matches: Matches) -> bool:
    """A number word that a phrase holds is none: `one or two drops`, the `do` (2, or give) of Hindi `band kar do`."""
    bits = sum(1 << i for i in range(number.first, number.last + 1))
    words = all(matches.tokens[i].kind == "word" for i in range(number.first, number.last + 1))
    return words and any(span.mask & bits == bits != span.mask for span in matches.of(*_SAYINGS))


def _is_article(quantity: Quantity, matches: Matches) -> bool:
    """Whether a word for one that is also a skip word (French `un tas`) only stands before a noun: it counts as
    a number beside a word between the sides of a size, or as the whole message."""
    first, last = quantity.number.first, quantity.number.last
    if first != last or matches.tokens[first].kind != "word" or not matches.skipped >> first & 1:
        return False
    beside_sides = any(span.first in (first - 1, first + 1) for span in matches.of("between"))
    return not beside_sides and any(i != first and t.kind != "mark" for i, t in enumerate(matches.tokens))


def _touched(part: Number, units: list[Span], matches: Matches) -> bool:
    return any(adjacent(part.last, unit.first, matches) for unit in units)


def _inside(part: Number | Span, whole: Number) -> bool:
    return whole.first <= part.first and part.last <= whole.last


def rounded(value: float) -> float:
    return float(f"{value:.10g}")


def light(i: int, matches: Matches) -> bool:
    """A token that may stand between a number and its unit; not one that separates two sides."""
    token = matches.tokens[i]
    if token.text in matches.between:
        return False
    return (token.kind == "mark" and token.text in "-.'/~") or bool(
        token.kind == "word" and matches.skipped >> i & 1
    )


def adjacent(last: int, first: int, matches: Matches) -> bool:
    return last < first <= last + 4 and all(light(i, matches) for i in range(last + 1, first))


def _between(a: Number, b: Number, matches: Matches) -> str:
    return "".join(token.text for token in matches.tokens[a.last + 1 : b.first])


def _holds(
    unit: Span, number: Number, units: list[Span], quantities: list[Quantity], matches: Matches
) -> bool:
    """Whether litres or kilos after a number tell what the vessel right before it holds."""
    if unit.category != "measure" or unit.id not in CONTENTS:
        return False
    vessel = any(
        each.category == "measure" and each.id not in CONTENTS and adjacent(each.last, number.first, matches)
        for each in units
    )
    return vessel and not any(adjacent(unit.last, each.number.first, matches) for each in quantities)


def _attach(quantities: list[Quantity], units: list[Span], matches: Matches) -> None:
    """Gives each number the unit that touches it; the side that the text's first unit is on decides a tie."""
    if not units or not quantities:
        return
    unit_first = units[0].first < quantities[0].number.first
    ago = {span.mask for span in matches.of("ago")}
    links = []
    for q, quantity in enumerate(quantities):
        for unit in units:
            after = adjacent(quantity.number.last, unit.first, matches)
            before = adjacent(unit.last, quantity.number.first, matches) and unit.mask not in ago  # há 2 dias
            if after or before:
                gap = unit.first - quantity.number.last if after else quantity.number.first - unit.last
                if after and gap == 1 and matches.tokens[unit.first].stuck:
                    gap = 0  # the `m` of `1m50` is that of the 1
                elif after and _holds(unit, quantity.number, units, quantities, matches):
                    gap = 0  # `bucket 20 litres`
                links.append((gap, after == unit_first, q, unit.first, unit.last))
    taken: set[tuple[int, int]] = set()
    for _, _, q, first, last in sorted(links):
        if not quantities[q].units and (first, last) not in taken:
            taken.add((first, last))
            same = [unit for unit in units if (unit.first, unit.last) == (first, last)]
            quantities[q].units = {unit.category: unit for unit in reversed(same)}
