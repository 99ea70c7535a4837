"""Between a farmer's measures and cubic metres: the only place where dialogue values meet the core's units."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import suppress
from typing import Any

from bot.advice.tables import catalogue, measures
from bot.compost import AtHand, Compost, CompostError, Measures, Size, from_m3, holds_m3, spoken, to_m3

USUAL_MEASURE, USUAL_VESSEL = "wheelbarrow", "bucket"
VESSELS = ("bucket", "basin")
Said = Mapping[str, Any]


class Carrier:
    """What a farmer carries in: `{"measure": "bucket", "litres": 20}`, or None for the usual wheelbarrow."""

    def __init__(self, measure: Said | None) -> None:
        self.measure: str = measure["measure"] if measure else USUAL_MEASURE
        litres = measure.get("litres") if measure else None
        self.measures: Measures = measures()
        if litres and not self.measures[self.measure].fixed:
            # A bucket of 0.001 or of a million litres: the usual one is nearer the truth.
            with suppress(CompostError):
                self.measures = self.measures.with_own({self.measure: litres})

    @property
    def vessel(self) -> str:
        """What water is carried in."""
        return self.measure if self.measure in VESSELS else USUAL_VESSEL

    def amount(self, volume_m3: float, material: str) -> dict[str, Any]:
        """A volume as a farmer would say it."""
        n = spoken(from_m3(self.measures, self.measure, volume_m3, catalogue()[material]))
        return {"n": n, "measure": self.measure}

    def compost(self, compost: Compost, volume_m3: float | None = None) -> dict[str, Any]:
        """Finished compost, all or some of it, as a farmer would say it."""
        return {"n": spoken(self.filled(compost, volume_m3)), "measure": self.measure}

    def filled(self, compost: Compost, volume_m3: float | None = None) -> float:
        """How many of the measure finished compost fills, all or some of it."""
        volume = compost.volume_m3 if volume_m3 is None else volume_m3
        return volume / holds_m3(self.measures, self.measure, compost.mass_kg / compost.volume_m3)

    def water(self, litres: float) -> dict[str, Any]:
        """Litres of water in the farmer's vessel."""
        return {"n": spoken(litres / self.litres(self.vessel)), "measure": self.vessel}

    def litres(self, measure: str) -> float:
        """What one of a measure holds, level full. [L]"""
        found = self.measures[measure].litres
        return self.measures.own_litres.get(measure, found.typical if found else 1.0)

    def volume_m3(self, said: Said) -> float | None:
        """The volume that was told, or None if no amount was; a bare number is in the farmer's measure."""
        if said.get("amount") is None:
            return None
        measure = said.get("measure") or self.measure
        try:
            return to_m3(self.measures, measure, said["amount"], catalogue()[said["material"]])
        except CompostError:
            return None

    def at_hand(self, materials: Said | None) -> list[AtHand]:
        """Everything named, for the core."""
        return [AtHand(said["material"], self.volume_m3(said)) for said in known(materials)]

    def shopping(self, volumes: Iterable[tuple[str, float]]) -> list[dict[str, Any]]:
        """Several materials with their amounts; the same one named twice is one line."""
        total: dict[str, float] = {}
        for material, volume in volumes:
            total[material] = total.get(material, 0.0) + volume
        return [{"material": m, "amount": self.amount(v, m)} for m, v in total.items() if v > 0]


def known(materials: Said | None) -> list[Said]:
    return list(materials["known"]) if materials else []


def size_of(sides: list[float]) -> Size:
    """A size told as a list of sides. [m]"""
    length, width, height = sides
    return Size(length, width, height)


def sides_of(size: Size) -> list[float]:
    return [round(side, 2) for side in (size.length_m, size.width_m, size.height_m)]
