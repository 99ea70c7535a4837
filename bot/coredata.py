"""Reads the data files of the calculation core, which itself opens nothing.

A trainer's local file adds to or overrides the entries; it has the same form as the file that comes with the
bot.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import resources
from pathlib import Path

from bot.compost import (
    Catalogue,
    CauseTable,
    Crops,
    Measured,
    Measures,
    PileConstants,
    parse_causes,
    parse_crops,
    parse_materials,
    parse_measured,
    parse_measures,
    parse_pile_constants,
)


def read_core_text(name: str) -> str:
    """Text of a file in `bot/compost/data`."""
    return (resources.files("bot.compost") / "data" / name).read_text(encoding="utf-8")


@cache
def load_catalogue(local: Path | None = None) -> Catalogue:
    """Materials, with a local file on top. Raises BadData, OSError."""
    base = parse_materials(read_core_text("materials.toml"))
    return parse_materials(local.read_text(encoding="utf-8"), base) if local else base


@cache
def load_measures(local: Path | None = None) -> Measures:
    """Measures, with a local file on top. Raises BadData, OSError."""
    base = parse_measures(read_core_text("measures.toml"))
    return parse_measures(local.read_text(encoding="utf-8"), base) if local else base


@cache
def load_crops(local: Path | None = None) -> Crops:
    """Crops, with a local file on top. Raises BadData, OSError."""
    base = parse_crops(read_core_text("crops.toml"))
    return parse_crops(local.read_text(encoding="utf-8"), base) if local else base


@cache
def load_causes() -> CauseTable:
    """Causes, evidence and how likely each makes the other. Raises BadData, OSError."""
    return parse_causes(read_core_text("causes.toml"))


@cache
def load_pile_constants() -> PileConstants:
    """Constants of the pile model. Raises BadData, OSError."""
    return parse_pile_constants(read_core_text("pile.toml"))


@cache
def load_pile_measured() -> Mapping[str, Measured]:
    """Published points that the pile model is compared with. Raises BadData, OSError."""
    return parse_measured(read_core_text("pile_measured.toml"))
