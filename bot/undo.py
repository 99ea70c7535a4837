"""What one report changed, so that it can be taken back."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import msgspec

from bot.store import Pile, Store

FARMERS_RAIN = "farmer"
"""The source of rain that a farmer tells."""


class PileBefore(msgspec.Struct, kw_only=True):
    stage: str
    facts: dict[str, Any]
    closed_at: datetime | None = None


class Undo(msgspec.Struct, kw_only=True):
    """The world before a report. Readings and tasks by their numbers; rain by place and day. [mm]

    text : what the farmer wrote.
    frames : the dialogues that were under way, as plain values.
    """

    in_no: int | None = None
    at: datetime | None = None
    text: str = ""
    frames: list[dict[str, Any]] = []
    readings: list[tuple[str, int, str]] = []
    piles: dict[str, PileBefore] = {}
    rain: list[tuple[str, date, float | None]] = []
    tasks_set: list[int] = []
    tasks_dropped: list[int] = []

    def note_pile(self, before: Pile) -> None:
        """Keep what a pile was before its first change."""
        if before.letter not in self.piles:
            self.piles[before.letter] = PileBefore(
                stage=before.stage, facts=before.facts, closed_at=before.closed_at
            )

    def is_report(self, now: dict[str, Pile]) -> bool:
        """Whether anything was told of a pile that one may wish to take back."""
        moved = any(letter in now and now[letter].stage != old.stage for letter, old in self.piles.items())
        return bool(self.readings or self.rain or moved)

    def kinds(self) -> set[str]:
        """The kinds of the readings: feel, squeeze, smell, turned, watered, rain."""
        return {kind for _, _, kind in self.readings}

    def take_back(self, store: Store, line_id: int, farmer_no: int) -> None:
        """Make everything as it was before the report."""
        for letter, reading_no, _ in self.readings:
            store.readings.remove(line_id, farmer_no, letter, reading_no)
        for letter, before in self.piles.items():
            pile = store.piles.get(line_id, farmer_no, letter)
            if pile is not None:
                store.piles.save(msgspec.structs.replace(pile, **msgspec.structs.asdict(before)))
        for place, day, mm in self.rain:
            if mm is None:
                store.rain.remove(place, day, FARMERS_RAIN)
            else:
                store.rain.set_day(place, day, mm, FARMERS_RAIN)
        store.tasks.set_states(line_id, self.tasks_set, "due", "dropped")
        store.tasks.set_states(line_id, self.tasks_dropped, "dropped", "due")
