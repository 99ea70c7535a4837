"""The core's data, read once when first needed."""

from __future__ import annotations

from functools import cache

from bot.compost import CauseTable, parse_causes
from bot.coredata import load_catalogue as catalogue
from bot.coredata import load_crops as crops
from bot.coredata import load_measures as measures
from bot.coredata import read_core_text

__all__ = ["catalogue", "causes", "crops", "measures"]


@cache
def causes() -> CauseTable:
    return parse_causes(read_core_text("causes.toml"))
