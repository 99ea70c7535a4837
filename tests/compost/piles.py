"""Piles for the tests: an ordinary balanced mix, and what changes one thing about it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bot.compost.pile_constants import parse_pile_constants
from bot.compost.pile_events import Event
from bot.compost.pile_state import Pile

from .causes import DATA

CONSTANTS_TEXT = (DATA / "pile.toml").read_text(encoding="utf-8")
CONSTANTS = parse_pile_constants(CONSTANTS_TEXT)


def balanced(
    side_m: float = 2.0,
    moisture: float = 0.55,
    cn_ratio: float = 28.0,
    density_kg_m3: float = 320.0,
    **changed: Any,
) -> Pile:
    """A cube of a mix of C:N 28 and 55 % moisture. Density 350 kg/m3: FAO Farmer's Compost Handbook 2015 starts from
    250 to 400 (RANGE-16, from memory)."""
    dry = side_m**3 * density_kg_m3 * (1 - moisture)
    values: dict[str, Any] = {
        "length_m": side_m,
        "width_m": side_m,
        "height_m": side_m,
        "dry_kg": dry,
        "ash_kg": 0.15 * dry,
        "fast_kg": 0.30 * 0.85 * dry,
        "slow_kg": 0.30 * 0.85 * dry,
        "water_kg": dry * moisture / (1 - moisture),
        "carbon_kg": 0.45 * dry,
        "nitrogen_kg": 0.45 * dry / cn_ratio,
        "speed": CONSTANTS.speed["medium"],
        "ease": CONSTANTS.ease["medium"],
    }
    return Pile(**{**values, **changed})


def particles(kind: str) -> dict[str, float]:
    return {"speed": CONSTANTS.speed[kind], "ease": CONSTANTS.ease[kind]}  # type: ignore[index]


def weekly(days: int, turned: bool = True) -> Sequence[Event]:
    """Watered every week until a handful is damp, and turned at the same time or not."""
    kind = "turn" if turned else "water"
    return [Event(day=day, kind=kind, until=0.55) for day in range(7, days, 7)]  # type: ignore[arg-type]
