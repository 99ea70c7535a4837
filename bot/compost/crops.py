"""What crops take: rates of compost and needs of nutrients, parsed from a data file."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from .errors import BadData, UnknownName
from .materials import Figure, Source, parse_entries


class Crop(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One crop. rate [t/ha moist compost]; handfuls for each planting station; stations [1/m2]; needs of
    nitrogen, phosphorus and potassium as elements [kg/ha]; whether the eaten part touches the soil."""

    id: str
    rate: Figure
    handfuls: Figure
    stations: float
    nitrogen: Figure
    phosphorus: Figure
    potassium: Figure
    touches_soil: bool


class Crops(msgspec.Struct, frozen=True):
    """All crops and sources by id."""

    crops: Mapping[str, Crop]
    sources: Mapping[str, Source]

    def __getitem__(self, crop_id: str) -> Crop:
        """The crop. Raises UnknownName of kind crop."""
        try:
            return self.crops[crop_id]
        except KeyError:
            raise UnknownName("crop", crop_id) from None


_LIMITS = {"rate": 100.0, "handfuls": 1000.0, "nitrogen": 600.0, "phosphorus": 200.0, "potassium": 1000.0}


def parse_crops(text: str, base: Crops | None = None) -> Crops:
    """Crops out of the text of a TOML file in the form of `data/crops.toml`.

    text : content of the file. base : crops that the file adds to or overrides.
    Raises BadData, which names entry, field and problem.
    """
    sources, entries = parse_entries(text, "crops", Crop, base.sources if base else {})
    for name, crop in entries.items():
        for field, most in _LIMITS.items():
            figure: Figure = getattr(crop, field)
            if not 0 <= figure.low <= figure.typical <= figure.high <= most:
                raise BadData(name, field, f"expected 0 <= low <= typical <= high <= {most:g}")
            if figure.source not in sources:
                raise BadData(name, f"{field}.source", f"unknown source {figure.source!r}")
        if crop.rate.low <= 0:
            raise BadData(name, "rate", "expected above 0")
        if not 0 <= crop.stations <= 100:
            raise BadData(name, "stations", "expected 0 to 100")
    return Crops({**(base.crops if base else {}), **entries}, sources)
