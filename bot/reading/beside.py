"""Reads what stands beside a report or question: what was seen on the pile, when, which crop, what to explain."""

from __future__ import annotations

from typing import Any

from bot.reading.matching import Matches
from bot.reading.units import Found


def told_beside(matches: Matches, found: Found) -> dict[str, Any]:
    """The fields of a Meaning that are found wherever they stand."""
    return {
        "seen": tuple(dict.fromkeys(s.id for s in matches.of("sight") if not matches.negated(s))),
        "lesson": _one(matches, "lesson"),
        "crop": _one(matches, "crop"),
        "stranger": _one(matches, "stranger"),
        "days_ago": found.days_ago,
    }


def _one(matches: Matches, category: str) -> str | None:
    ids = {span.id for span in matches.of(category)}
    return ids.pop() if len(ids) == 1 else None
