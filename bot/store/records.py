"""What was observed: readings of piles, texts that could not be read, rain."""

from __future__ import annotations

from datetime import date, datetime

from .database import Database
from .rows import NotUnderstood, Reading


class Readings:
    def __init__(self, db: Database) -> None:
        self._db = db

    def add(
        self,
        line_id: int,
        farmer_no: int,
        letter: str,
        at: datetime,
        kind: str,
        *,
        value: str | None = None,
        celsius: float | None = None,
        in_no: int | None = None,
    ) -> Reading:
        """Keep a report on a pile. in_no : the message that said it."""
        with self._db.transaction():
            number = self._db.next_no(
                "readings", "reading_no", line_id=line_id, farmer_no=farmer_no, letter=letter
            )
            reading = Reading(
                line_id=line_id, farmer_no=farmer_no, letter=letter, reading_no=number, at=at, kind=kind,
                value=value, celsius=celsius, in_no=in_no,
            )  # fmt: skip
            self._db.insert("readings", {name: getattr(reading, name) for name in Reading.__struct_fields__})
            return reading

    def latest(
        self, line_id: int, farmer_no: int, letter: str, *, kind: str | None = None, limit: int = 20
    ) -> list[Reading]:
        """Newest first; only those of `kind` when given."""
        return self._db.structs(
            Reading,
            "FROM readings WHERE line_id = ? AND farmer_no = ? AND letter = ? AND (? IS NULL OR kind = ?)"
            " ORDER BY at DESC, reading_no DESC LIMIT ?",
            *(line_id, farmer_no, letter, kind, kind, limit),
        )

    def remove(self, line_id: int, farmer_no: int, letter: str, reading_no: int) -> None:
        """Take a report back."""
        self._db.change(
            "DELETE FROM readings WHERE line_id = ? AND farmer_no = ? AND letter = ? AND reading_no = ?",
            *(line_id, farmer_no, letter, reading_no),
        )


class Unread:
    """Texts that were not understood."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def add(self, line_id: int, at: datetime, text: str, *, language: str | None, expect: str | None) -> None:
        self._db.change(
            "INSERT INTO not_understood (line_id, no, at, language, expect, text)"
            " SELECT ?, coalesce(max(no), 0) + 1, ?, ?, ?, ? FROM not_understood WHERE line_id = ?",
            *(line_id, at, language, expect, text, line_id),
        )

    def latest(self, limit: int, language: str | None = None) -> list[NotUnderstood]:
        """Newest first, over all lines; of farmers of one language if it is given."""
        return self._db.structs(
            NotUnderstood,
            "FROM not_understood WHERE (? IS NULL OR language = ?) ORDER BY at DESC, line_id, no DESC LIMIT ?",
            *(language, language, limit),
        )


class Rain:
    """Millimetres of rain by place and day. Places are compared without regard to case and spacing."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def add(self, place: str, day: date, mm: float, source: str) -> None:
        """Add a shower to a source's total of the day. [mm]"""
        self._put(place, day, mm, source, replace=False)

    def set_day(self, place: str, day: date, mm: float, source: str) -> None:
        """Replace a source's total of the day, as a weather file or a correction does. [mm]"""
        self._put(place, day, mm, source, replace=True)

    def _put(self, place: str, day: date, mm: float, source: str, *, replace: bool) -> None:
        if not 0 <= mm < 2000:
            raise ValueError(f"rain of a day is 0 to 2000 mm, not {mm!r}")
        self._db.change(
            "INSERT INTO rain (place, day, source, mm) VALUES (?, ?, ?, ?)"
            " ON CONFLICT DO UPDATE SET mm = excluded.mm + CASE WHEN ? THEN 0 ELSE rain.mm END",
            *(_place(place), day, source, mm, replace),
        )

    def of_day(self, place: str, day: date, source: str) -> float | None:
        """What a source has told of a day, or None. [mm]"""
        row = self._db.row(
            "SELECT mm FROM rain WHERE place = ? AND day = ? AND source = ?", _place(place), day, source
        )
        return None if row is None else float(row[0])

    def remove(self, place: str, day: date, source: str) -> None:
        """Take back what a source has told of a day."""
        self._db.change(
            "DELETE FROM rain WHERE place = ? AND day = ? AND source = ?", _place(place), day, source
        )

    def total_mm(self, place: str, since: date) -> float:
        """Rain from the day `since` on. [mm]

        Of several sources for one day the wettest counts, not their sum.
        """
        (total,) = self._db.rows(
            "SELECT total(mm) FROM"
            " (SELECT max(mm) AS mm FROM rain WHERE place = ? AND day >= ? GROUP BY day)",
            *(_place(place), since),
        )[0]
        return float(total)


def _place(place: str) -> str:
    return " ".join(place.casefold().split())
