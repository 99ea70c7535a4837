"""Joins numbers with their units, and finds sizes, areas, temperatures and rain among them."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from itertools import pairwise

import msgspec

from bot.reading.lexicon import UNITS, Lexicon
from bot.reading.matching import Matches, Span
from bot.reading.meaning import Kind
from bot.reading.numbers import Number, NumberReader, join_ranges
from bot.reading.tokens import Token

INCH_M = 0.0254
VESSELS = frozenset({"bucket", "basin", "wheelbarrow", "sack", "oxcart", "headload"})
LEAST_BARE_C, MOST_BARE_C = 15, 85
"""A bare number between these is taken for degrees Celsius: colder than a night, hotter than a pile gets."""
LEAST_BARE_F, MOST_BARE_F = 100, 185


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
    """What the numbers of a text say, in metres, square metres, degrees Celsius and millimetres."""

    quantities: list[Quantity]
    size_m: tuple[float, float, float] | None = None
    part_of_size: bool = False
    area_m2: float | None = None
    celsius: float | None = None
    rain_mm: float | None = None
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


class QuantityReader:
    def __init__(self, lexicons: Mapping[str, Lexicon]) -> None:
        self._lexicons = dict(lexicons)
        self._numbers = NumberReader(lexicons)

    def read(self, matches: Matches, language: str, expect: Kind | None) -> Found:
        found = Found(self._quantities(matches, language))
        self._own_measure(found, matches, expect)
        self._temperature(found, expect)
        self._area(found)
        self._size(found, matches, expect)
        self._rain(found, matches, expect)
        found.use([each for each in found.left() if "time" in each.units])
        return found

    def _quantities(self, matches: Matches, language: str) -> list[Quantity]:
        numbers = self._numbers.read(matches.tokens, language)
        if not numbers:
            return self._single_units(matches)
        ranges = {span.first for span in matches.of("range")}
        dashes = [_between(a, b, matches) == "-" for a, b in pairwise(numbers)]
        is_range = [
            dash or (b.first - a.last == 2 and a.last + 1 in ranges)
            for dash, (a, b) in zip(dashes, pairwise(numbers), strict=True)
        ]
        numbers = join_ranges(numbers, is_range, dashes)
        covered = {i for number in numbers for i in range(number.first, number.last + 1)}
        sides = matches.of("side") if len(matches.of("side")) >= 3 else []  # the L of L 3 W 2 H 1 is no litre
        covered |= {side.first for side in sides}
        units = [span for span in matches.of(*UNITS) if span.first not in covered]
        units.sort(key=lambda each: each.first)
        quantities = [Quantity(number, {}) for number in numbers]
        _attach(quantities, units, matches)
        return sorted(quantities + self._single_units(matches, units, covered), key=lambda each: each.first)

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
        return self._lexicons[code].words.one_before_measure

    def _own_measure(self, found: Found, matches: Matches, expect: Kind | None) -> None:
        """`bucket of 20 litres`, `20 litre bucket`."""
        vessels = [span for span in matches.of("measure") if span.id in VESSELS]
        if len({span.id for span in vessels}) == 1 and vessels:
            found.measure = vessels[0].id
        for quantity in found.quantities:
            unit = quantity.units.get("measure")
            if unit is None or unit.id not in ("litre", "kg"):
                continue
            near = [
                v
                for v in vessels
                if _adjacent(v.last, quantity.first, matches) or _adjacent(quantity.last, v.first, matches)
            ]
            if not near and expect == "measure" and len(found.quantities) == 1:
                near = vessels
            if near:
                found.use([quantity])
                found.measure = near[0].id
                found.measure_litres = quantity.number.value if unit.id == "litre" else None

    def _temperature(self, found: Found, expect: Kind | None) -> None:
        told = [each for each in found.left() if "temperature" in each.units]
        if not told and expect == "feel":
            bare = [each for each in found.left() if not each.units]
            told = bare if len(bare) == 1 and _bare_degrees(bare[0].number.value) else []
        if not told:
            return
        degrees = [self._degrees(each, found) for each in told]
        found.use(told)
        if None in degrees or len(set(degrees)) > 1:
            found.unclear = True
        else:
            found.celsius = degrees[0]

    def _degrees(self, quantity: Quantity, found: Found) -> float | None:
        value, unit = quantity.number.value, quantity.units.get("temperature")
        scale: str | None = unit.id if unit else "degree"
        if scale == "degree":
            scale = _bare_degrees(value)
            if scale:
                found.assume(scale)
        if scale == "fahrenheit":
            return round((value - 32) / 1.8, 1)
        return value if scale == "celsius" else None

    def _area(self, found: Found) -> None:
        told = [each for each in found.left() if "area" in each.units]
        if len(told) > 1:
            found.unclear = True
        if len(told) == 1:
            unit = told[0].units["area"]
            size = self._lexicons[unit.code].words.units.area[unit.id]
            found.area_m2 = _rounded(told[0].number.value * size.is_)
            if size.assumed:
                found.assume(unit.id)
        found.use(told)

    def _size(self, found: Found, matches: Matches, expect: Kind | None) -> None:
        sides = self._sides(found, matches, expect)
        if len(sides) == 3:
            found.size_m = self._ordered(sides, matches, found)
        elif len(sides) == 2 and (expect == "area" or _land_meant(sides, matches, expect)):
            lengths = self._metres(sides, found)
            found.area_m2 = _rounded(lengths[0] * lengths[1])
        elif len(sides) == 1:
            found.size_m = (self._metres(sides, found)[0],) * 3
        elif len(sides) >= 2:
            found.part_of_size = True
        found.use(sides)

    def _sides(self, found: Found, matches: Matches, expect: Kind | None) -> list[Quantity]:
        """The numbers that stand as sides: `2 x 2 x 2`, three in a row when a size is asked for, `2 m cube`."""
        fit = [each for each in found.left() if not each.units or "length" in each.units]
        fit = _feet_and_inches(fit, matches)
        if matches.of("cube") and len(fit) == 1 and (fit[0].units or expect == "size"):
            return fit
        if len(matches.of("side")) >= 3 and len(fit) == 3:
            return fit
        best: list[Quantity] = []
        for chain in _chains(fit, matches, weak=expect == "size"):
            best = max(best, chain, key=len)
        return best if len(best) > 1 else []

    def _metres(self, sides: list[Quantity], found: Found) -> list[float]:
        """Metres; a side without unit takes the next unit after it, or else the last before it."""
        units = [side.units.get("length") for side in sides]
        told = [unit for unit in units if unit]
        lengths = []
        for i, side in enumerate(sides):
            unit = units[i] or next((each for each in units[i:] if each), told[-1] if told else None)
            size = self._lexicons[unit.code].words.units.length[unit.id] if unit else None
            if unit and size and size.assumed:
                found.assume(unit.id)
            lengths.append(_rounded(side.number.value * (size.is_ if size else 1)))
        return lengths

    def _ordered(self, sides: list[Quantity], matches: Matches, found: Found) -> tuple[float, float, float]:
        lengths = self._metres(sides, found)
        names = sorted(matches.of("side"), key=lambda each: each.first)
        if len(names) == 3 and len({name.id for name in names}) == 3:
            by_name = {name.id: length for name, length in zip(names, lengths, strict=True)}
            return by_name["length"], by_name["width"], by_name["height"]
        return lengths[0], lengths[1], lengths[2]

    def _rain(self, found: Found, matches: Matches, expect: Kind | None) -> None:
        told = [each for each in found.left() if "rainunit" in each.units]
        if not told and (expect == "rain" or matches.of("rainword", "rain")):
            told = [each for each in found.left() if not each.units and not matches.of("material", "measure")]
        if len(told) == 1:
            unit = told[0].units.get("rainunit")
            size = self._lexicons[unit.code].words.units.rain[unit.id].is_ if unit else 1
            found.rain_mm = _rounded(told[0].number.value * size)
            found.use(told)


def _bare_degrees(value: float) -> str | None:
    if LEAST_BARE_C <= value <= MOST_BARE_C:
        return "celsius"
    return "fahrenheit" if LEAST_BARE_F <= value <= MOST_BARE_F else None


def _rounded(value: float) -> float:
    return float(f"{value:.10g}")


def _pile_meant(matches: Matches, expect: Kind | None) -> bool:
    return expect == "size" or any(
        span.id in ("plan", "manure", "pile") for span in matches.of("topic", "alone", "about")
    )


def _land_meant(sides: list[Quantity], matches: Matches, expect: Kind | None) -> bool:
    """Whether two lengths are a piece of land: they have a unit or land is named, and no pile is."""
    said = any(side.units for side in sides) or matches.about("field")
    return said and not _pile_meant(matches, expect)


def _light(i: int, matches: Matches) -> bool:
    """A token that may stand between a number and its unit."""
    token = matches.tokens[i]
    return (token.kind == "mark" and token.text in "-.'/~") or bool(
        token.kind == "word" and matches.skipped >> i & 1
    )


def _adjacent(last: int, first: int, matches: Matches) -> bool:
    return last < first <= last + 4 and all(_light(i, matches) for i in range(last + 1, first))


def _between(a: Number, b: Number, matches: Matches) -> str:
    return "".join(token.text for token in matches.tokens[a.last + 1 : b.first])


def _attach(quantities: list[Quantity], units: list[Span], matches: Matches) -> None:
    """Gives each number the unit that touches it; the side that the text's first unit is on decides a tie."""
    if not units or not quantities:
        return
    unit_first = units[0].first < quantities[0].number.first
    links = []
    for q, quantity in enumerate(quantities):
        for unit in units:
            after = _adjacent(quantity.number.last, unit.first, matches)
            if after or _adjacent(unit.last, quantity.number.first, matches):
                gap = unit.first - quantity.number.last if after else quantity.number.first - unit.last
                links.append((gap, after == unit_first, q, unit.first, unit.last))
    taken: set[tuple[int, int]] = set()
    for _, _, q, first, last in sorted(links):
        if not quantities[q].units and (first, last) not in taken:
            taken.add((first, last))
            same = [unit for unit in units if (unit.first, unit.last) == (first, last)]
            quantities[q].units = {unit.category: unit for unit in reversed(same)}


def _feet_and_inches(quantities: list[Quantity], matches: Matches) -> list[Quantity]:
    """`6 ft 6 in` is one length: the inches are added to the feet."""
    out: list[Quantity] = []
    for each in quantities:
        unit = each.units.get("length")
        before = out[-1].units.get("length") if out else None
        touches = bool(out) and each.number.first == out[-1].last + 1
        if unit and before and unit.id == "inch" and before.id == "foot" and touches:
            whole = out[-1].number
            each.used = True
            feet = whole.value + each.number.value / 12
            out[-1].number = Number(feet, whole.first, each.last)
        else:
            out.append(each)
    return out


def _chains(fit: list[Quantity], matches: Matches, weak: bool) -> list[list[Quantity]]:
    """Runs of quantities with only size separators between them. weak: commas, `and` or nothing will do too."""
    strong_at = {span.first for span in matches.of("between")}
    neutral_at = {i for span in matches.of("side") for i in range(span.first, span.last + 1)}
    weak_at = {span.first for span in matches.of("and")}
    chains: list[list[Quantity]] = []
    strong = False
    for each in fit:
        last = chains[-1][-1] if chains else None
        gap = range(last.last + 1, each.first) if last else range(0)
        is_strong = any(i in strong_at for i in gap)
        fits = bool(last) and all(_joins(i, matches, strong_at, weak_at, neutral_at) for i in gap)
        if last and fits and (is_strong or weak or (strong and len(chains[-1]) == 2)):
            chains[-1].append(each)
        else:
            chains.append([each])
        strong = is_strong
    return chains


def _joins(i: int, matches: Matches, strong: set[int], weak: set[int], neutral: set[int]) -> bool:
    token: Token = matches.tokens[i]
    return (
        i in strong or i in weak or i in neutral or _light(i, matches) or token.text in (",", ";", "\n", ":")
    )
