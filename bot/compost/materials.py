"""Materials for compost and what they are made of, parsed from a data file."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from typing import Any, Literal, TypeVar

import msgspec

from .errors import BadData, UnknownMaterial

T = TypeVar("T")
Role = Literal["carbon", "nitrogen", "manure", "soil", "mineral"]
Use = Literal["foundation", "keep_in", "vegetation", "filler", "feed", "soil", "extra", "cap"]
State = Literal["whole", "chopped", "trodden"]
Mark = Literal["published", "from memory", "practice", "estimate", "definition", "local"]


class Source(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Where figures come from, and whether that was read or recalled."""

    title: str
    table: str
    mark: Mark


class Figure(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One property: likely least, typical and most, and the id of its source."""

    low: float
    typical: float
    high: float
    source: str


class Densities(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Bulk density as the material lies in the pile, by state. [kg/m3]"""

    whole: Figure
    chopped: Figure | None = None
    trodden: Figure | None = None


class Material(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One material. Moisture is on the wet basis; nitrogen, carbon and ash are of dry matter; `fast` and
    `slow` are the shares of organic matter that rot within weeks and within months. All 0 to 1. [kg/kg]"""

    id: str
    role: Role
    serves: tuple[Use, ...]
    particle: Literal["coarse", "long", "medium", "fine"]
    structure: Literal["airy", "mats", "dense"]
    usual_state: State
    moisture: Figure
    nitrogen: Figure
    carbon: Figure
    ash: Figure
    fast: Figure
    slow: Figure
    density: Densities
    why: str = ""

    @property
    def rots(self) -> bool:
        """Whether it takes part in the C:N and moisture of the mix: soil, ash and shells do not."""
        return self.role not in ("soil", "mineral")

    def density_kg_m3(self, state: State | None = None) -> float:
        """Typical bulk density in `state`, or in its usual state. [kg/m3]

        A state that the material has no figure for (chopped manure) is its whole state.
        """
        found: Figure | None = getattr(self.density, state or self.usual_state)
        return (found or self.density.whole).typical


class Catalogue(msgspec.Struct, frozen=True):
    """All materials and sources by id."""

    materials: Mapping[str, Material]
    sources: Mapping[str, Source]

    def __getitem__(self, material_id: str) -> Material:
        """The material. Raises UnknownMaterial."""
        try:
            return self.materials[material_id]
        except KeyError:
            raise UnknownMaterial(material_id) from None

    def that_serve(self, use: Use) -> tuple[Material, ...]:
        """All materials for a use, in the order of the file."""
        return tuple(m for m in self.materials.values() if use in m.serves)

    def mark_of(self, figure: Figure) -> Mark:
        """How well the source of a figure is known."""
        return self.sources[figure.source].mark


def parse_materials(text: str, base: Catalogue | None = None) -> Catalogue:
    """Catalogue out of the text of a TOML file.

    text : content of a file in the form of `data/materials.toml`.
    base : catalogue that the file adds to or overrides, entry by entry (a trainer's local file).
    Returns the checked catalogue.
    Raises BadData, which names the entry, the field and the problem.
    """
    sources, entries = parse_entries(text, "materials", Material, base.sources if base else {})
    for material in entries.values():
        _check(material, sources)
    return Catalogue({**(base.materials if base else {}), **entries}, sources)


def simple_material(
    material_id: str,
    *,
    moisture: float,
    carbon: float,
    nitrogen: float,
    density_kg_m3: float,
    ash: float = 0.0,
    role: Role = "carbon",
) -> Material:
    """A material of exact figures, for a sum with numbers from elsewhere: a laboratory's, a worked example's.

    moisture : wet basis, 0 to 1. [kg/kg] carbon, nitrogen, ash : of dry matter. [kg/kg]
    density_kg_m3 : as it lies. [kg/m3] role : as in the catalogue.
    Returns the material, which serves as vegetation. Raises BadData for figures that cannot be.
    """

    def exactly(value: float) -> Figure:
        return Figure(value, value, value, "given")

    material = Material(
        id=material_id,
        role=role,
        serves=("vegetation",),
        particle="medium",
        structure="airy",
        usual_state="whole",
        moisture=exactly(moisture),
        nitrogen=exactly(nitrogen),
        carbon=exactly(carbon),
        ash=exactly(ash),
        fast=exactly(0.25),
        slow=exactly(0.35),
        density=Densities(whole=exactly(density_kg_m3)),
    )
    _check(material, {"given": Source("given by the caller", "", "local")})
    return material


def parse_entries(
    text: str, group: str, kind: type[T], sources: Mapping[str, Source]
) -> tuple[dict[str, Source], dict[str, T]]:
    """Sources and entries of a TOML file that holds `[sources.*]` and one other group of tables.

    text, group : content of the file and the name of the group.
    kind : struct of an entry, which has an `id`; sources : those known already.
    Returns all sources, and the entries of this file by id.
    Raises BadData.
    """
    data = _toml(text)
    unknown = set(data) - {"sources", group}
    if unknown:
        raise BadData(min(unknown), "", f"expected only [sources.*] and [{group}.*]")
    own = {name: _convert(entry, Source, f"sources.{name}") for name, entry in _entries(data, "sources")}
    entries = {name: _convert({**entry, "id": name}, kind, name) for name, entry in _entries(data, group)}
    return {**sources, **own}, entries


def _toml(text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as exc:
        raise BadData("file", "", f"not TOML: {exc}") from None


def _entries(data: Mapping[str, Any], group: str) -> Iterable[tuple[str, dict[str, Any]]]:
    entries = data.get(group, {})
    if not isinstance(entries, dict):
        raise BadData(group, "", "expected a table of entries")
    for name, entry in entries.items():
        if not isinstance(entry, dict):
            raise BadData(f"{group}.{name}", "", "expected a table")
        yield name, entry


def _convert(entry: Mapping[str, Any], kind: type[T], name: str) -> T:
    try:
        return msgspec.convert(entry, kind)
    except msgspec.ValidationError as exc:
        problem, _, path = str(exc).partition(" - at `$.")
        raise BadData(name, path.rstrip("`"), problem) from None


_FRACTIONS = ("moisture", "nitrogen", "carbon", "ash", "fast", "slow")


def _check(material: Material, sources: Mapping[str, Source]) -> None:
    """Limits that the types do not hold: order, range, known source, and shares that fit into the whole."""
    for field in _FRACTIONS:
        _check_figure(
            material.id, field, getattr(material, field), 0.60 if field == "carbon" else 1.0, sources
        )
    for state in ("whole", "chopped", "trodden"):
        figure = getattr(material.density, state)
        if figure is not None:
            _check_figure(material.id, f"density.{state}", figure, 3000.0, sources)
            if figure.low <= 0:
                raise BadData(material.id, f"density.{state}", f"{figure.low!r} is not above 0")
    if material.moisture.high >= 1:
        raise BadData(material.id, "moisture", "1 would be pure water")
    if material.fast.typical + material.slow.typical > 1:
        raise BadData(material.id, "fast", "fast and slow together are more than 1")
    if material.carbon.typical > 1 - material.ash.typical + 0.05:
        raise BadData(material.id, "carbon", "more carbon than organic matter (1 - ash)")
    if not material.serves:
        raise BadData(material.id, "serves", "names no use")


def _check_figure(entry: str, field: str, figure: Figure, most: float, sources: Mapping[str, Source]) -> None:
    if not 0 <= figure.low <= figure.typical <= figure.high <= most:
        raise BadData(entry, field, f"expected 0 <= low <= typical <= high <= {most:g}")
    if figure.source not in sources:
        raise BadData(entry, f"{field}.source", f"unknown source {figure.source!r}")
