"""C:N, moisture, density and free air space of a mix of materials."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import msgspec

from .constants import DENSITY_ASH, DENSITY_ORGANIC, DENSITY_WATER
from .errors import TooLittle, check_range
from .materials import Figure, Material, State

MASS_MOST_KG = 1e6
VOLUME_MOST_M3 = 1000.0


class Part(msgspec.Struct, frozen=True):
    """An amount of one material as it lies in the pile. [m3]"""

    material: Material
    volume_m3: float
    state: State | None = None

    @property
    def mass_kg(self) -> float:
        """Wet mass. [kg]"""
        return self.volume_m3 * self.material.density_kg_m3(self.state)


class Mix(msgspec.Struct, frozen=True, kw_only=True):
    """What an amount of mixed materials is made of. Masses in kg, volume in m3.

    volume_m3 is the sum of the parts' volumes: that fine stuff falls between coarse pieces is left out.
    """

    volume_m3: float
    mass_kg: float
    water_kg: float
    carbon_kg: float
    nitrogen_kg: float
    ash_kg: float
    fast_kg: float
    slow_kg: float

    @property
    def dry_kg(self) -> float:
        """Dry matter. [kg]"""
        return self.mass_kg - self.water_kg

    @property
    def organic_kg(self) -> float:
        """Organic matter (volatile solids): dry matter less ash. [kg]"""
        return self.dry_kg - self.ash_kg

    @property
    def moisture(self) -> float:
        """Water on the wet basis, 0 to 1. [kg/kg]"""
        return self.water_kg / self.mass_kg

    @property
    def cn_ratio(self) -> float:
        """Mass of carbon per mass of nitrogen. [kg/kg] Raises TooLittle for a mix without nitrogen."""
        return cn_of(self.carbon_kg, self.nitrogen_kg)

    @property
    def density_kg_m3(self) -> float:
        """Wet bulk density. [kg/m3]"""
        return self.mass_kg / self.volume_m3

    @property
    def free_air_space(self) -> float:
        """Share of the volume that is air, 0 to 1. [m3/m3]"""
        ash = self.ash_kg / self.dry_kg if self.dry_kg > 0 else 0.0
        return free_air_space(self.density_kg_m3, self.moisture, ash)

    def with_water(self, water_kg: float) -> Mix:
        """The same mix with water added (it fills pores: the volume stays). [kg]"""
        check_range("water_kg", water_kg, 0.0, MASS_MOST_KG, "kg")
        return msgspec.structs.replace(
            self, water_kg=self.water_kg + water_kg, mass_kg=self.mass_kg + water_kg
        )


def mix_of(parts: Iterable[Part]) -> Mix:
    """The mix of all parts, soil and minerals too: leave those out first where C:N or moisture are asked.

    parts : amounts of materials, each volume 0 to 1000. [m3]
    Returns the mix.
    Raises OutOfRange for a negative or absurd volume, TooLittle when there is nothing at all.
    Source: sums of mass. Moisture, C:N: `mix_moisture`, `mix_cn`.
    """
    parts = tuple(parts)
    for part in parts:
        check_range(f"volume of {part.material.id}", part.volume_m3, 0.0, VOLUME_MOST_M3, "m3")
    if not sum(part.volume_m3 for part in parts) > 0:
        raise TooLittle("mix", "no material")
    dry = [part.mass_kg * (1 - part.material.moisture.typical) for part in parts]
    organic = [d * (1 - part.material.ash.typical) for d, part in zip(dry, parts, strict=True)]

    def total(amounts: Sequence[float], field: str) -> float:
        figures: list[Figure] = [getattr(part.material, field) for part in parts]
        return sum(amount * figure.typical for amount, figure in zip(amounts, figures, strict=True))

    mass_kg = sum(part.mass_kg for part in parts)
    return Mix(
        volume_m3=sum(part.volume_m3 for part in parts),
        mass_kg=mass_kg,
        water_kg=mass_kg - sum(dry),
        carbon_kg=total(dry, "carbon"),
        nitrogen_kg=total(dry, "nitrogen"),
        ash_kg=total(dry, "ash"),
        fast_kg=total(organic, "fast"),
        slow_kg=total(organic, "slow"),
    )


def add_mixes(first: Mix, second: Mix) -> Mix:
    """Both mixes together: every sum added. Raises nothing. Source: definition."""
    return Mix(**{field: getattr(first, field) + getattr(second, field) for field in Mix.__struct_fields__})


def cn_of(carbon_kg: float, nitrogen_kg: float) -> float:
    """Carbon to nitrogen ratio.

    carbon_kg, nitrogen_kg : masses, 0 or more. [kg]
    Returns the ratio. [kg/kg]
    Raises TooLittle when there is no nitrogen.
    Source: definition.

    >>> cn_of(30.0, 1.0)
    30.0
    """
    if not nitrogen_kg > 0:
        raise TooLittle("cn_ratio", "no nitrogen")
    return carbon_kg / nitrogen_kg


def mix_moisture(masses_kg: Sequence[float], moistures: Sequence[float]) -> float:
    """Moisture of several materials together.

    masses_kg : wet mass of each, 0 or more, not all 0. [kg]
    moistures : moisture of each on the wet basis, 0 to 1, in the same order. [kg/kg]
    Returns the moisture of the mix, wet basis. [kg/kg]
    Raises OutOfRange for a value outside these ranges, TooLittle for no mass, ValueError if lengths differ.
    Source: mass balance, sum(Q M) / sum(Q); Cornell Waste Management Institute 1996, formula page.

    >>> round(mix_moisture([10, 6.8], [0.77, 0.35]), 3)  # Cornell 1996: grass and leaves for 60 %
    0.6
    """
    for mass, moisture in zip(masses_kg, moistures, strict=True):
        check_range("mass_kg", mass, 0.0, MASS_MOST_KG, "kg")
        check_range("moisture", moisture, 0.0, 1.0, "kg/kg")
    total = sum(masses_kg)
    if not total > 0:
        raise TooLittle("moisture", "no mass")
    return sum(q * m for q, m in zip(masses_kg, moistures, strict=True)) / total


def mix_cn(
    masses_kg: Sequence[float],
    moistures: Sequence[float],
    carbons: Sequence[float],
    nitrogens: Sequence[float],
) -> float:
    """C:N of several materials together, weighted by dry mass.

    masses_kg : wet mass of each, 0 or more. [kg]
    moistures : wet basis, 0 to 1. [kg/kg]
    carbons, nitrogens : of dry matter, 0 to 1. [kg/kg]
    Returns the ratio. [kg/kg]
    Raises OutOfRange, TooLittle for a mix without nitrogen, ValueError if the lengths differ.
    Source: sum(Q C (1 - M)) / sum(Q N (1 - M)); Cornell Waste Management Institute 1996, formula page.
    Averaging the ratios by wet mass is published by public bodies too and is wrong when materials differ.

    >>> round(mix_cn([10, 6.8], [0.77, 0.35], [0.45, 0.50], [0.024, 0.0075]), 1)  # Cornell 1996: 37
    36.7
    """
    carbon = nitrogen = 0.0
    for mass, moisture, c, n in zip(masses_kg, moistures, carbons, nitrogens, strict=True):
        dry = check_range("mass_kg", mass, 0.0, MASS_MOST_KG, "kg") * (
            1 - check_range("moisture", moisture, 0.0, 1.0, "kg/kg")
        )
        carbon += dry * check_range("carbon", c, 0.0, 1.0, "kg/kg")
        nitrogen += dry * check_range("nitrogen", n, 0.0, 1.0, "kg/kg")
    return cn_of(carbon, nitrogen)


def dried_moisture(wet_kg: float, dry_kg: float) -> float:
    """Moisture of a sample from its mass before and after drying.

    wet_kg, dry_kg : masses, dry not above wet. [kg]
    Returns the moisture on the wet basis. [kg/kg]
    Raises OutOfRange.
    Source: definition; Cornell Waste Management Institute 1996, moisture page.

    >>> round(dried_moisture(10.0, 2.3), 2)
    0.77
    """
    check_range("wet_kg", wet_kg, 1e-9, MASS_MOST_KG, "kg")
    check_range("dry_kg", dry_kg, 0.0, wet_kg, "kg")
    return 1 - dry_kg / wet_kg


def water_to_add_kg(mass_kg: float, moisture: float, goal: float) -> float:
    """Water that brings a mass to a goal; 0 when it is as wet already.

    mass_kg : wet mass. [kg]
    moisture, goal : wet basis, 0 to 1, goal under 1. [kg/kg]
    Returns the water to add. [kg], about as many litres
    Raises OutOfRange.
    Source: mass balance, m (g - M) / (1 - g) (definition).

    >>> round(water_to_add_kg(100.0, 0.40, 0.60), 6)
    50.0
    """
    check_range("mass_kg", mass_kg, 0.0, MASS_MOST_KG, "kg")
    check_range("moisture", moisture, 0.0, 1.0, "kg/kg")
    check_range("goal", goal, 0.0, 0.99, "kg/kg")
    return max(0.0, mass_kg * (goal - moisture) / (1 - goal))


def amount_for_cn(mix: Mix, material: Material, ratio: float) -> float:
    """Volume of one more material that gives a mix a C:N.

    mix : what there is. material : what is added, in its usual state. ratio : C:N wanted, 1 to 1000. [kg/kg]
    Returns the volume, infinite when this material cannot. [m3]
    Raises OutOfRange.
    Source: mass balance, C + x c = r (N + x n), solved for x.
    """
    check_range("ratio", ratio, 1.0, 1000.0, "kg/kg")
    one = mix_of([Part(material, 1.0)])
    return _positive(mix.carbon_kg - ratio * mix.nitrogen_kg, ratio * one.nitrogen_kg - one.carbon_kg)


def amount_for_moisture(mix: Mix, material: Material, goal: float) -> float:
    """Volume of one more material that gives a mix a moisture.

    mix : what there is. material : what is added, in its usual state. goal : wet basis, 0 to 0.99. [kg/kg]
    Returns the volume, infinite when this material cannot (its own moisture lies on the wrong side). [m3]
    Raises OutOfRange.
    Source: mass balance, W + x w = g (M + x m), solved for x; Cornell Waste Management Institute 1996.
    """
    check_range("goal", goal, 0.0, 0.99, "kg/kg")
    one = mix_of([Part(material, 1.0)])
    return _positive(mix.water_kg - goal * mix.mass_kg, goal * one.mass_kg - one.water_kg)


def _positive(above: float, below: float) -> float:
    return above / below if above * below > 0 else math.inf


def free_air_space(density_kg_m3: float, moisture: float, ash: float) -> float:
    """Share of a bulk volume that is neither solid nor water.

    density_kg_m3 : wet bulk density, above 0. [kg/m3]
    moisture : wet basis, 0 to 1. [kg/kg]
    ash : of dry matter, 0 to 1. [kg/kg]
    Returns the share, 0 when solids and water fill the volume. [m3/m3]
    Raises OutOfRange.
    Source: volumes of water, ash and organic matter taken off; Haug 1993 (particle densities from memory); so
    too Agnew and Leonard 2003, Compost Science and Utilization 11 (from memory).

    >>> round(free_air_space(500.0, 0.55, 0.10), 3)  # 0.275 water, 0.009 ash, 0.127 organic
    0.589
    """
    check_range("density", density_kg_m3, 1e-9, 3000.0, "kg/m3")
    check_range("moisture", moisture, 0.0, 1.0, "kg/kg")
    check_range("ash", ash, 0.0, 1.0, "kg/kg")
    dry = density_kg_m3 * (1 - moisture)
    filled = (
        density_kg_m3 * moisture / DENSITY_WATER + dry * ash / DENSITY_ASH + dry * (1 - ash) / DENSITY_ORGANIC
    )
    return max(0.0, 1 - filled)
