"""Reads a weather file: millimetres of rain by place and day, as CSV."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

import msgspec

from bot.datafile import BadFile

COLUMNS = ("place", "day", "mm")
MOST_MM = 2000.0
EVERYWHERE = ""
"""The place of rain that fell on all farmers."""


class RainDay(msgspec.Struct, frozen=True):
    """Rain of one day at one place. [mm]"""

    place: str
    day: date
    mm: float


def read_weather(path: Path, today: date) -> list[RainDay]:
    """The days of a file with the columns place, day (YYYY-MM-DD) and mm; an empty place means everywhere.

    Raises BadFile with file, line, field and problem: the first row that is wrong; then nothing counts.
    """
    try:
        with path.open(encoding="utf-8-sig", newline="") as stream:
            rows = csv.DictReader(stream, strict=True)
            if rows.fieldnames is None or not set(COLUMNS) <= set(rows.fieldnames):
                raise BadFile(str(path), 1, "", f"the first line must name the columns {', '.join(COLUMNS)}")
            return [_day(row, str(path), rows.line_num, today) for row in rows]
    except (OSError, UnicodeError, csv.Error) as exc:
        raise BadFile(str(path), None, "", f"cannot be read: {exc}") from None


def _day(row: dict[str, str | None], file: str, line: int, today: date) -> RainDay:
    try:
        day = date.fromisoformat((row["day"] or "").strip())
    except ValueError:
        raise BadFile(file, line, "day", f"{row['day']!r} is no day such as 2026-03-02") from None
    if day > today:
        raise BadFile(file, line, "day", f"{day} lies in the future: only rain that fell counts")
    try:
        mm = float(row["mm"] or "")
    except ValueError:
        raise BadFile(file, line, "mm", f"{row['mm']!r} is no number") from None
    if not 0 <= mm < MOST_MM:
        raise BadFile(file, line, "mm", f"rain of a day is 0 to {MOST_MM:g} mm, not {mm:g}")
    return RainDay((row["place"] or EVERYWHERE).strip(), day, mm)
