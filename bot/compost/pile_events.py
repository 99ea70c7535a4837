"""What is done to a pile, and what falls on it."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import Literal, NamedTuple

import msgspec

from .errors import OutOfRange, UnknownName, check_range
from .mix import Mix
from .pile_constants import PileConstants
from .pile_factors import Number
from .pile_state import (
    CORE,
    SHELL,
    SOIL_WATER,
    WATER_HEAT,
    Climate,
    Pile,
    State,
    Surroundings,
    heat_capacity,
    soil_kg,
    zone_dry,
)

Kind = Literal["turn", "water", "rain", "add", "cover", "weather"]
MOST: dict[str, tuple[float, str]] = {
    "turn": (5000.0, "L"),
    "water": (5000.0, "L"),
    "rain": (500.0, "mm"),
    "cover": (1.0, "-"),
}


class Event(msgspec.Struct, frozen=True, kw_only=True):
    """One event on a day [d], at its start.

    amount : litres given with `turn` or `water` [L], rain [mm], 1 or 0 for `cover` put on or taken off.
    share : which part of the pile it meets, 0 to 1; among many piles 1 for those it happens to, 0 for the rest.
    until : water on top of `amount` until what rots is this moist in both zones, as when one waters until a
        handful is damp. [kg/kg]
    mix : what is added. climate : new mean weather.
    """

    day: float
    kind: Kind
    amount: Number = 0.0
    share: Number = 1.0
    until: float | None = None
    mix: Mix | None = None
    climate: Climate | None = None


class Moment(NamedTuple):
    """A pile between two events, with what events have brought so far: heat [kJ over 0 C], water and food [kg]."""

    pile: Pile
    around: Surroundings
    state: State
    heat_brought: Number
    water_brought: Number
    food_brought: Number


def check_events(events: Sequence[Event]) -> None:
    """Raises OutOfRange for a day or amount that cannot be, UnknownName for a kind that is not known."""
    for event in events:
        check_range("day", event.day, 0.0, 3650.0, "d")
        if event.kind not in _EFFECTS:
            raise UnknownName("event", event.kind)
        if event.until is not None:
            check_range("moisture to reach", event.until, 0.0, 0.9, "kg/kg")
        most, unit = MOST.get(event.kind, (0.0, ""))
        if isinstance(event.amount, (int, float)):
            check_range(f"amount of {event.kind}", event.amount, 0.0, most, unit)


def happen(event: Event, now: Moment, constants: PileConstants) -> Moment:
    """The pile after an event. Heat and water that leave by it go to the ledger of the state."""
    return _EFFECTS[event.kind](event, now, constants)


def _turn(event: Event, now: Moment, constants: PileConstants) -> Moment:
    """Core and shell become one; some warmth and steam escape; contact is renewed; then water is given."""
    pile, around, state = now.pile, now.around, now.state
    dry = zone_dry(pile, constants, state, CORE) + zone_dry(pile, constants, state, SHELL)
    heat, fast, slow, water = (state[i] + state[i + SHELL] for i in range(4))
    air = around.climate.celsius
    celsius = heat / heat_capacity(dry, water, constants)
    celsius = air + (celsius - air) * (1.0 - constants.turning_cools)
    dried = water * (1.0 - constants.turning_dries)
    whole = (heat_capacity(dry, dried, constants) * celsius, fast, slow, dried)
    core = constants.core_share
    mixed = [part * core for part in whole] + [part * (1.0 - core) for part in whole]
    mixed += [state[8] + heat - whole[0], state[9] + water - dried]
    # `share` picks the piles that are turned: all parts are linear in it, so nothing is lost on the way.
    state = [old + event.share * (new - old) for old, new in zip(state, mixed, strict=True)]
    turned = around.turned_day + event.share * (event.day - around.turned_day)
    after = now._replace(state=state, around=around._replace(turned_day=turned))
    return _water(event, after, constants)


def _water(event: Event, now: Moment, constants: PileConstants) -> Moment:
    """Water is given to both zones by volume, then what still lacks to `until`."""
    litres, core = event.amount * event.share, constants.core_share
    now = _wet(now, litres * core, litres * (1.0 - core))
    if event.until is None:
        return now
    lacks = []
    for zone in (CORE, SHELL):
        soil = soil_kg(now.pile) * (core if zone == CORE else 1.0 - core)
        rotting = zone_dry(now.pile, constants, now.state, zone) - soil
        wanted = rotting * event.until / (1.0 - event.until) + SOIL_WATER * soil
        lack = wanted - now.state[zone + 3]
        lacks.append(event.share * 0.5 * (lack + abs(lack)))  # the lack if there is one
    return _wet(now, *lacks)


def _rain(event: Event, now: Moment, constants: PileConstants) -> Moment:
    """Rain falls on the top; a cover sheds most of it; the shell takes it, and passes on what it cannot hold."""
    passed = 1.0 + (constants.covered_rain - 1.0) * now.around.covered
    litres = event.amount * event.share * now.pile.length_m * now.pile.width_m * passed
    return _wet(now, 0.0, litres)


def _wet(now: Moment, core_litres: Number, shell_litres: Number) -> Moment:
    state, celsius = list(now.state), now.around.climate.celsius
    for zone, litres in ((CORE, core_litres), (SHELL, shell_litres)):
        state[zone] = state[zone] + litres * WATER_HEAT * celsius
        state[zone + 3] = state[zone + 3] + litres
    litres = core_litres + shell_litres
    return now._replace(
        state=state,
        heat_brought=now.heat_brought + litres * WATER_HEAT * celsius,
        water_brought=now.water_brought + litres,
    )


def _add(event: Event, now: Moment, constants: PileConstants) -> Moment:
    """Fresh material is mixed through; the pile grows in height."""
    mix, old = event.mix, now.pile
    if mix is None:
        raise UnknownName("mix", "None")
    share = event.share
    pile = msgspec.structs.replace(
        old,
        height_m=old.height_m + share * mix.volume_m3 / (old.length_m * old.width_m),
        dry_kg=old.dry_kg + share * mix.dry_kg,
        ash_kg=old.ash_kg + share * mix.ash_kg,
        fast_kg=old.fast_kg + share * mix.fast_kg,
        slow_kg=old.slow_kg + share * mix.slow_kg,
        carbon_kg=old.carbon_kg + share * mix.carbon_kg,
        nitrogen_kg=old.nitrogen_kg + share * mix.nitrogen_kg,
    )
    heat = heat_capacity(mix.dry_kg, mix.water_kg, constants) * now.around.climate.celsius
    parts = [share * part for part in (heat, mix.fast_kg, mix.slow_kg, mix.water_kg)]
    core = constants.core_share
    state = list(now.state)
    for i, part in enumerate(parts):
        state[CORE + i] = state[CORE + i] + core * part
        state[SHELL + i] = state[SHELL + i] + (1.0 - core) * part
    return now._replace(
        pile=pile,
        state=state,
        heat_brought=now.heat_brought + parts[0],
        water_brought=now.water_brought + parts[3],
        food_brought=now.food_brought + parts[1] + parts[2],
    )


def _cover(event: Event, now: Moment, constants: PileConstants) -> Moment:
    covered = now.around.covered + event.share * (event.amount - now.around.covered)
    return now._replace(around=now.around._replace(covered=covered))


def _weather(event: Event, now: Moment, constants: PileConstants) -> Moment:
    if event.climate is None:
        raise UnknownName("climate", "None")
    return now._replace(around=now.around._replace(climate=event.climate))


_EFFECTS = {
    "turn": _turn,
    "water": _water,
    "rain": _rain,
    "add": _add,
    "cover": _cover,
    "weather": _weather,
}


def check_climate(climate: Climate) -> None:
    """Raises OutOfRange for weather that the model is not made for (frost, or hotter than 50 C)."""
    for name, value, low, high, unit in (
        ("air temperature", climate.celsius, 0.0, 50.0, "C"),
        ("humidity", climate.humidity, 0.05, 1.0, "-"),
        ("air pressure", climate.pressure_kpa, 50.0, 108.0, "kPa"),
    ):
        if isinstance(value, (int, float)):
            check_range(name, float(value), low, high, unit)
        elif not all(isfinite(v) and low <= v <= high for v in value):
            raise OutOfRange(name, float(min(value)), low, high, unit)
