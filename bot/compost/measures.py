"""A farmer's measures: how much of a material one of them holds, and amounts as a person would say them."""

from __future__ import annotations

import math
from collections.abc import Mapping

import msgspec

from .errors import BadData, UnknownMeasure, check_range
from .materials import Figure, Material, Source, State, parse_entries

AMOUNT_MOST = 1e6
LITRES = (0.01, 5000.0)  # [L] what an overridden measure may hold; estimate


class Measure(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One measure: its room, struck level [L], the factor when heaped, the load that it carries [kg].

    `fixed` measures (kg, litre, m3) cannot be overridden.
    """

    id: str
    litres: Figure | None = None
    heaped: float = 1.0
    most_kg: Figure | None = None
    fixed: bool = False
    why: str = ""


class Measures(msgspec.Struct, frozen=True):
    """All measures by id, and the litres that a training group or a farmer put in place of the usual ones."""

    measures: Mapping[str, Measure]
    sources: Mapping[str, Source]
    own_litres: Mapping[str, float] = {}

    def __getitem__(self, measure_id: str) -> Measure:
        """The measure. Raises UnknownMeasure."""
        try:
            return self.measures[measure_id]
        except KeyError:
            raise UnknownMeasure(measure_id) from None

    def with_own(self, litres: Mapping[str, float]) -> Measures:
        """The same measures with other capacities, struck level.

        litres : measure id to what it holds, 0.01 to 5000. [L]
        Raises UnknownMeasure, OutOfRange, BadData for a measure that is fixed (kg, litre, m3).
        """
        for name, value in litres.items():
            if self[name].fixed:
                raise BadData(name, "litres", "is fixed and cannot be overridden")
            check_range(f"litres of {name}", value, *LITRES, "L")
        return msgspec.structs.replace(self, own_litres={**self.own_litres, **litres})


def parse_measures(text: str, base: Measures | None = None) -> Measures:
    """Measures out of the text of a TOML file in the form of `data/measures.toml`.

    text : content of the file.
    base : measures that the file adds to or overrides.
    Raises BadData, which names entry, field and problem.
    """
    sources, entries = parse_entries(text, "measures", Measure, base.sources if base else {})
    for name, measure in entries.items():
        if measure.litres is None and measure.most_kg is None:
            raise BadData(name, "litres", "needs litres or most_kg")
        check = [("litres", measure.litres), ("most_kg", measure.most_kg)]
        for field, figure in check:
            if figure is not None and not 0 < figure.low <= figure.typical <= figure.high <= LITRES[1]:
                raise BadData(name, field, f"expected 0 < low <= typical <= high <= {LITRES[1]:g}")
            if figure is not None and figure.source not in sources:
                raise BadData(name, f"{field}.source", f"unknown source {figure.source!r}")
        if not 1 <= measure.heaped <= 2:
            raise BadData(name, "heaped", "expected 1 to 2")
    return Measures({**(base.measures if base else {}), **entries}, sources)


def capacity_m3(
    measures: Measures, measure: str, material: Material, state: State | None = None, heaped: bool = False
) -> float:
    """Volume of a material that one measure holds, as the material lies in the pile.

    measures, measure : the measures and the id of one.
    material, state : what is in it, and how it lies (None: its usual state).
    heaped : heaped up, not struck level.
    Returns the volume. [m3]
    Raises UnknownMeasure.
    Source: as `holds_m3`.
    """
    return holds_m3(measures, measure, material.density_kg_m3(state), heaped)


def holds_m3(measures: Measures, measure: str, density_kg_m3: float, heaped: bool = False) -> float:
    """Volume of stuff of some bulk density that one measure holds.

    measures, measure : the measures and the id of one. density_kg_m3 : 1 to 5000. [kg/m3]
    heaped : heaped up, not struck level.
    Returns the volume. [m3]
    Raises UnknownMeasure, OutOfRange.
    Source: the lesser of the room and of load / density (definition).
    """
    check_range("density_kg_m3", density_kg_m3, 1.0, 5000.0, "kg/m3")
    found = measures[measure]
    room = math.inf
    if found.litres is not None:
        litres = measures.own_litres.get(measure, found.litres.typical)
        room = litres / 1000 * (found.heaped if heaped else 1.0)
    if found.most_kg is None:
        return room
    return min(room, found.most_kg.typical / density_kg_m3)


def to_m3(
    measures: Measures,
    measure: str,
    amount: float,
    material: Material,
    state: State | None = None,
    heaped: bool = False,
) -> float:
    """Volume of an amount told in a measure.

    amount : how many, 0 to 1e6. [measure]
    Other parameters as for `capacity_m3`. Returns the volume. [m3]
    Raises UnknownMeasure, OutOfRange. Source: amount times capacity (definition).
    """
    check_range("amount", amount, 0.0, AMOUNT_MOST, measure)
    return amount * capacity_m3(measures, measure, material, state, heaped)


def from_m3(
    measures: Measures,
    measure: str,
    volume_m3: float,
    material: Material,
    state: State | None = None,
    heaped: bool = False,
) -> float:
    """How many of a measure a volume fills; the inverse of `to_m3`. [measure]

    volume_m3 : volume as it lies in the pile, 0 to 1e6. [m3]
    Raises UnknownMeasure, OutOfRange.
    """
    check_range("volume_m3", volume_m3, 0.0, AMOUNT_MOST, "m3")
    return volume_m3 / capacity_m3(measures, measure, material, state, heaped)


def spoken(amount: float) -> float:
    """An amount as a person would say it: halves below 5, whole numbers below 50, then fives, tens, fifties.

    amount : 0 or more. [any]
    Returns the amount, never 0 for something; it is rounded, so say "about". [same]
    Raises OutOfRange for a negative or absurd amount.
    Source: common practice.

    >>> [spoken(a) for a in (0.1, 1.7, 15.4, 88.0, 287.0)]
    [0.5, 1.5, 15.0, 90.0, 290.0]
    """
    check_range("amount", amount, 0.0, 1e12, "")
    if amount == 0:
        return 0.0
    for below, step in ((5, 0.5), (50, 1.0), (100, 5.0), (1000, 10.0)):
        if amount < below:
            return max(step, math.floor(amount / step + 0.5) * step)
    step = 50.0 if amount < 10_000 else 1000.0
    return math.floor(amount / step + 0.5) * step
