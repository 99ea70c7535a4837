"""Finds a size, or the sides of a piece of land, among the numbers of a text."""

from __future__ import annotations

from collections.abc import Mapping

from bot.reading.lexicon import Lexicon
from bot.reading.matching import Matches
from bot.reading.meaning import Kind
from bot.reading.numbers import Number
from bot.reading.tokens import Token
from bot.reading.units import Found, Quantity, light, rounded


class SizeReader:
    """Lengths come out in metres, in the order length, width, height."""

    def __init__(self, lexicons: Mapping[str, Lexicon]) -> None:
        self._lexicons = dict(lexicons)

    def read(self, found: Found, matches: Matches, expect: Kind | None) -> None:
        sides = self._sides(found, matches, expect)
        if len(sides) == 3:
            found.size_m = self._ordered(sides, matches, found)
        elif len(sides) == 2 and (expect == "area" or _land_meant(sides, matches, expect)):
            lengths = self._metres(sides, found)
            found.area_m2 = rounded(lengths[0] * lengths[1])
        elif len(sides) == 1:
            found.size_m = (self._metres(sides, found)[0],) * 3
        elif len(sides) >= 2:
            found.part_of_size = True
        found.use(sides)

    def _sides(self, found: Found, matches: Matches, expect: Kind | None) -> list[Quantity]:
        """The numbers that stand as sides: `2 x 2 x 2`, three in a row when a size is asked for, `2 m cube`."""
        fit = [each for each in found.left() if not each.units or "length" in each.units]
        fit = _one_length(fit, matches)
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
            size = self._lexicons[unit.code].units.length[unit.id] if unit else None
            if unit and size and size.assumed:
                found.assume(unit.id)
            lengths.append(rounded(side.number.value * (size.is_ if size else 1)))
        return lengths

    def _ordered(self, sides: list[Quantity], matches: Matches, found: Found) -> tuple[float, float, float]:
        lengths = self._metres(sides, found)
        names = sorted(matches.of("side"), key=lambda each: each.first)
        if len(names) == 3 and len({name.id for name in names}) == 3:
            by_name = {name.id: length for name, length in zip(names, lengths, strict=True)}
            return by_name["length"], by_name["width"], by_name["height"]
        return lengths[0], lengths[1], lengths[2]


def _pile_meant(matches: Matches, expect: Kind | None) -> bool:
    return expect == "size" or any(
        span.id in ("plan", "manure", "pile") for span in matches.of("topic", "alone", "about")
    )


def _land_meant(sides: list[Quantity], matches: Matches, expect: Kind | None) -> bool:
    """Whether two lengths are a piece of land: they have a unit or land is named, and no pile is."""
    said = any(side.units for side in sides) or matches.about("field")
    return said and not _pile_meant(matches, expect)


def _one_length(quantities: list[Quantity], matches: Matches) -> list[Quantity]:
    """`6 ft 6 in` is one length, and so is `1m50`: the smaller part is added to the number before it."""
    out: list[Quantity] = []
    for each in quantities:
        part = _smaller_part(each, out[-1], matches) if out else None
        if part is None:
            out.append(each)
            continue
        whole = out[-1].number
        each.used = True
        out[-1].number = Number(whole.value + part, whole.first, each.last)
    return out


def _smaller_part(each: Quantity, before: Quantity, matches: Matches) -> float | None:
    """Inches right after feet, in feet; two digits stuck to the unit after metres, in metres."""
    unit, larger = each.units.get("length"), before.units.get("length")
    if larger is None or each.number.first != before.last + 1:
        return None
    if unit and unit.id == "inch" and larger.id == "foot":
        return each.number.value / 12
    token = matches.tokens[each.number.first]
    centimetres = not each.units and token.stuck and len(token.text) == 2 and token.text.isdigit()
    return each.number.value / 100 if centimetres and larger.id == "metre" else None


def _chains(fit: list[Quantity], matches: Matches, weak: bool) -> list[list[Quantity]]:
    """Runs of quantities with only size separators between them. weak: commas, `and` or nothing will do too."""
    strong_at = {span.first for span in matches.of("between")}
    strong_at |= {i for i, token in enumerate(matches.tokens) if token.text in matches.between}
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
        i in strong or i in weak or i in neutral or light(i, matches) or token.text in (",", ";", "\n", ":")
    )
