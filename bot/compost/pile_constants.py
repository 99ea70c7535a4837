"""Constants of the pile model, parsed from `data/pile.toml`."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from typing import Literal

import msgspec

from .errors import BadData

Particle = Literal["coarse", "long", "medium", "fine"]


class Constant(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One constant with its unit and where it comes from."""

    value: float
    unit: str
    mark: Literal["published", "from memory", "practice", "estimate", "definition"]
    source: str


class PileConstants(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Values by name; units and sources are in the data file. `speed` and `ease` are by particle class."""

    fast_rate: float
    slow_rate: float
    coldest: float
    best: float
    hottest: float
    heat_of_decay: float
    oxygen_of_decay: float
    water_of_decay: float
    carbon_of_decay: float
    nitrogen_loss: float
    waking_share: float
    waking_time: float
    untouched_least: float
    settling_time: float
    settling_share: float
    crumbling_share: float
    conductivity: float
    surface_transfer: float
    ground_resistance: float
    heat_of_solids: float
    core_share: float
    draught: float
    wind: float
    oxygen_diffusivity: float
    condensing_share: float
    wicking: float
    dalton: float
    bare_wetness: float
    covered_wetness: float
    covered_rain: float
    holding: float
    drain_rate: float
    turning_cools: float
    turning_dries: float
    ripe_food_left: float
    speed: Mapping[Particle, float]
    ease: Mapping[Particle, float]


def parse_pile_constants(text: str) -> PileConstants:
    """Constants out of the text of `data/pile.toml`. Raises BadData naming the entry and what is wrong."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as exc:
        raise BadData("pile constants", "", f"not TOML: {exc}") from None
    values: dict[str, object] = {}
    for name, entry in data.items():
        values[name] = entry if name in ("speed", "ease") else _value(name, entry)
    try:
        found = msgspec.convert(values, PileConstants)
    except msgspec.ValidationError as exc:
        raise BadData("pile constants", "", str(exc)) from None
    if not found.coldest < found.best < found.hottest:
        raise BadData("best", "value", f"is {found.best!r}: expected between coldest and hottest")
    return found


def _value(name: str, entry: object) -> float:
    try:
        value = msgspec.convert(entry, Constant).value
    except msgspec.ValidationError as exc:
        raise BadData(name, "", str(exc)) from None
    if not math.isfinite(value) or value <= 0:
        raise BadData(name, "value", f"is {value!r}: expected above 0")
    return value
