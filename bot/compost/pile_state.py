"""The pile as built, its surroundings, and what the model carries from hour to hour.

All amounts may be plain numbers (one pile) or numpy arrays of one value a pile (many piles).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp as _exp
from typing import Any, NamedTuple

import msgspec

from .constants import SOIL_FIELD_MOISTURE
from .errors import check_range
from .mix import Mix
from .pile_constants import Particle, PileConstants
from .pile_factors import Number, vapour_pressure

State = list[Number]
"""Heat [kJ over 0 C], fast food, slow food, water [kg] of the core, the same of the shell, then what has left since
the start: heat [kJ] and water [kg]."""
CORE, SHELL, LEDGER = 0, 4, 8
CARBON_KEPT = 0.9  # [kg/kg] not more carbon than this share can be lost as food; keeps C:N defined


class Pile(msgspec.Struct, frozen=True, kw_only=True):
    """A pile as built. Sides [m]; dry matter, its ash, its fast and slow food, water, carbon and nitrogen [kg].

    speed : decay against fine pieces. [-]
    ease : permeability against medium pieces. [-]
    """

    length_m: Number
    width_m: Number
    height_m: Number
    dry_kg: Number
    ash_kg: Number
    fast_kg: Number
    slow_kg: Number
    water_kg: Number
    carbon_kg: Number
    nitrogen_kg: Number
    speed: Number = 0.85
    ease: Number = 1.0


class Climate(msgspec.Struct, frozen=True, kw_only=True):
    """Mean air around the pile: temperature [C], relative humidity [0 to 1], air pressure [kPa]."""

    celsius: Number = 22.0
    humidity: Number = 0.65
    pressure_kpa: Number = 101.3


class Surroundings(NamedTuple):
    """Climate and the state of the surface since the last event. `turned_day` [d], `wetness` and `rain_share`
    as in the constants for bare or covered piles."""

    climate: Climate
    turned_day: Number
    covered: Number


def pile_of(
    mix: Mix,
    size_m: tuple[float, float, float],
    particle: Particle,
    constants: PileConstants,
    rotting: Mix | None = None,
) -> Pile:
    """A pile of a mix, in vertical-sided shape.

    mix : all that lies in it, soil too.
    size_m : length, width and height as built, 0.2 to 20. [m]
    particle : how fine most pieces are.
    rotting : the same without soil and minerals, which takes their carbon and nitrogen out of C:N; `mix` if left out.
    Returns the pile.
    Raises OutOfRange for a size, or for a mix that is all water or holds no nitrogen.
    """
    for name, side in zip(("length", "width", "height"), size_m, strict=True):
        check_range(name, side, 0.2, 20.0, "m")
    check_range("dry matter", mix.dry_kg, 0.1, 1e6, "kg")
    check_range("water", mix.water_kg, 0.0, 1e6, "kg")
    rotting = rotting or mix
    check_range("C:N", rotting.cn_ratio, 1.0, 2000.0, "kg/kg")
    return Pile(
        length_m=size_m[0],
        width_m=size_m[1],
        height_m=size_m[2],
        dry_kg=mix.dry_kg,
        ash_kg=mix.ash_kg,
        fast_kg=mix.fast_kg,
        slow_kg=mix.slow_kg,
        water_kg=mix.water_kg,
        carbon_kg=rotting.carbon_kg,
        nitrogen_kg=rotting.nitrogen_kg,
        speed=constants.speed[particle],
        ease=constants.ease[particle],
    )


def start_state(pile: Pile, constants: PileConstants, celsius: Number) -> State:
    """The state of a pile just built of stuff at `celsius`. [C]"""
    heat = heat_capacity(pile.dry_kg, pile.water_kg, constants) * celsius
    whole = [heat, pile.fast_kg, pile.slow_kg, pile.water_kg]
    core = constants.core_share
    return [v * core for v in whole] + [v * (1 - core) for v in whole] + [0.0 * heat, 0.0 * heat]


def heat_capacity(dry_kg: Number, water_kg: Number, constants: PileConstants) -> Number:
    """Heat to warm solids and water by one kelvin. [kJ/K]"""
    return dry_kg * constants.heat_of_solids + water_kg * WATER_HEAT


def zone_dry(pile: Pile, constants: PileConstants, state: Sequence[Number], zone: int) -> Number:
    """Dry matter of the core or the shell: what never rots and the food left. [kg]"""
    share = constants.core_share if zone == CORE else 1 - constants.core_share
    inert = pile.dry_kg - pile.fast_kg - pile.slow_kg
    return share * inert + state[zone + 1] + state[zone + 2]


def soil_kg(pile: Pile) -> Number:
    """Mineral matter beyond the ash that plants and manure hold anyway: soil and ash put into the layers. [kg]

    Moisture and C:N are those of what rots, so this is left out of them, with the water that it holds itself.
    """
    beyond = pile.ash_kg - USUAL_ASH * pile.dry_kg
    return 0.5 * (beyond + abs(beyond)) / (1.0 - USUAL_ASH)


def rotting_moisture(dry_kg: Number, water_kg: Number, soil: Number) -> Number:
    """Moisture on the wet basis of what rots among `dry_kg` that holds `soil`. [kg/kg]"""
    wet = water_kg - SOIL_WATER * soil
    wet = 0.5 * (wet + abs(wet))
    return wet / (wet + dry_kg - soil)


def zone_celsius(pile: Pile, constants: PileConstants, state: Sequence[Number], zone: int) -> Number:
    """Temperature of the core or the shell. [C]"""
    dry = zone_dry(pile, constants, state, zone)
    return state[zone] / heat_capacity(dry, state[zone + 3], constants)


def as_temperatures(pile: Pile, constants: PileConstants, state: Sequence[Number]) -> State:
    """A state with the temperatures of core and shell [C] where it has their heat."""
    now = list(state)
    now[LEDGER] = state[CORE] + state[SHELL] + state[LEDGER]
    for zone in (CORE, SHELL):
        now[zone] = zone_celsius(pile, constants, state, zone)
    return now


def as_heats(pile: Pile, constants: PileConstants, state: Sequence[Number]) -> State:
    """The inverse of `as_temperatures`."""
    now = list(state)
    for zone in (CORE, SHELL):
        now[zone] = state[zone] * heat_capacity(
            zone_dry(pile, constants, state, zone), state[zone + 3], constants
        )
    now[LEDGER] = state[LEDGER] - now[CORE] - now[SHELL]
    return now


def ambient_vapour_kpa(climate: Climate, exp: Any = _exp) -> Number:
    """Vapour pressure of the air. [kPa]"""
    return climate.humidity * vapour_pressure(climate.celsius, exp)


USUAL_ASH = 0.15  # [kg/kg dry] of plants and manure; data/materials.toml has 0.05 to 0.25
SOIL_WATER = SOIL_FIELD_MOISTURE / (1.0 - SOIL_FIELD_MOISTURE)  # [kg/kg dry] as in a planned heap
WATER_HEAT = 4.19  # [kJ/(kg K)] liquid water, definition
