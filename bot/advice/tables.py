"""The core's data, read once when first needed."""

from __future__ import annotations

from bot.coredata import load_catalogue as catalogue
from bot.coredata import load_causes as causes
from bot.coredata import load_crops as crops
from bot.coredata import load_measures as measures
from bot.coredata import load_pile_constants as pile_constants

__all__ = ["catalogue", "causes", "crops", "measures", "pile_constants"]
