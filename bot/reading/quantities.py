"""Reads what the numbers of a text say: sizes, areas, temperatures, rain, own measures."""

from __future__ import annotations

from collections.abc import Mapping

from bot.reading.lexicon import Lexicon
from bot.reading.matching import Matches
from bot.reading.meaning import Kind
from bot.reading.sizes import SizeReader
from bot.reading.units import CONTENTS, Found, Quantity, UnitReader, adjacent, rounded

VESSELS = frozenset({"bucket", "basin", "wheelbarrow", "sack", "oxcart", "headload"})
LEAST_BARE_C, MOST_BARE_C = 15, 85
"""A bare number between these is taken for degrees Celsius: colder than a night, hotter than a pile gets."""
LONGEST_AGO_D = 36500.0  # [d] a hundred years: more is no day that anybody remembers
LEAST_BARE_F, MOST_BARE_F = 100, 185
MOST_F = 212
"""Water boils: a bigger number with an f behind it is a price in francs."""


class QuantityReader:
    def __init__(self, lexicons: Mapping[str, Lexicon]) -> None:
        self._lexicons = dict(lexicons)
        self._units = UnitReader(lexicons)
        self._sizes = SizeReader(lexicons)

    def read(self, matches: Matches, expect: Kind | None) -> Found:
        found = Found(self._units.read(matches))
        self._own_measure(found, matches, expect)
        self._temperature(found, matches, expect)
        self._area(found)
        self._sizes.read(found, matches, expect)
        self._rain(found, matches, expect)
        self._time(found, matches, expect)
        return found

    def _own_measure(self, found: Found, matches: Matches, expect: Kind | None) -> None:
        """`bucket of 20 litres`, `20 litre bucket`."""
        vessels = [span for span in matches.of("measure") if span.id in VESSELS]
        if len({span.id for span in vessels}) == 1 and vessels:
            found.measure = vessels[0].id
        for quantity in found.quantities:
            unit = quantity.units.get("measure")
            if unit is None or unit.id not in CONTENTS:
                continue
            near = [
                v
                for v in vessels
                if adjacent(v.last, quantity.first, matches) or adjacent(quantity.last, v.first, matches)
            ]
            if not near and expect == "measure" and len(found.quantities) == 1:
                near = vessels
            if near:
                found.use([quantity])
                found.measure = near[0].id
                found.measure_litres = quantity.number.value if unit.id == "litre" else None

    def _temperature(self, found: Found, matches: Matches, expect: Kind | None) -> None:
        told = [each for each in found.left() if "temperature" in each.units and _of_heat(each, matches)]
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
            size = self._lexicons[unit.code].units.area[unit.id]
            found.area_m2 = rounded(told[0].number.value * size.is_)
            if size.assumed:
                found.assume(unit.id)
        found.use(told)

    def _rain(self, found: Found, matches: Matches, expect: Kind | None) -> None:
        told = [each for each in found.left() if "rainunit" in each.units]
        if not told and (expect == "rain" or matches.of("rainword", "rain")):
            # In digits: the `one` of `a heavy one` is no millimetre.
            bare = [each for each in found.left() if not each.units and not matches.of("material", "measure")]
            told = [
                each
                for each in bare
                if matches.tokens[each.first].kind == "number" or len(matches.tokens) == 1
            ]
        if len(told) == 1:
            unit = told[0].units.get("rainunit")
            size = self._lexicons[unit.code].units.rain[unit.id].is_ if unit else 1
            found.rain_mm = rounded(told[0].number.value * size)
            found.use(told)

    def _time(self, found: Found, matches: Matches, expect: Kind | None) -> None:
        """`10 days ago`, or a word for a day in the past; two different days tell none."""
        days = {float(span.id) for span in matches.of("day_ago")}
        told = [each for each in found.left() if "time" in each.units]
        for quantity in told:
            unit = quantity.units["time"]
            near = range(min(quantity.first, unit.first) - 1, max(quantity.last, unit.last) + 3)
            if expect == "ago" or any(span.first in near for span in matches.of("ago")):
                size = self._lexicons[unit.code].units.time[unit.id]
                days.add(quantity.number.value * size.is_)
        bare = [each for each in found.left() if not each.units]
        if expect == "ago" and not days and len(bare) == 1:
            days.add(bare[0].number.value)
            found.use(bare)
        possible = {round(each) for each in days if 0 <= each <= LONGEST_AGO_D}
        found.days_ago = possible.pop() if len(days) == len(possible) == 1 else None
        found.use(told)


def _of_heat(quantity: Quantity, matches: Matches) -> bool:
    """Whether the letter beside a number may mean degrees: `c un cube` is said for `it is`, `7500f` are francs."""
    unit = quantity.units["temperature"]
    if len(matches.tokens[unit.last].text) > 1:
        return True
    francs = unit.id == "fahrenheit" and quantity.number.value > MOST_F
    return unit.first > quantity.number.last and not francs


def _bare_degrees(value: float) -> str | None:
    if LEAST_BARE_C <= value <= MOST_BARE_C:
        return "celsius"
    return "fahrenheit" if LEAST_BARE_F <= value <= MOST_BARE_F else None
