"""A farmer who has a new phone number: the farmer and all that belongs to it goes to the other line."""

from __future__ import annotations

from datetime import datetime

from .database import Database
from .errors import StoreError
from .lines import Lines

_KEYED = ("farmers", "piles", "readings", "conversations")
_NUMBERED = (("tasks", "task_no", ()), ("questions", "question_no", ("thread",)))


class CannotMove(StoreError):
    """The farmer cannot go to that number; nothing was changed."""


class Moving:
    def __init__(self, db: Database, lines: Lines) -> None:
        self._db, self._lines = db, lines

    def move(self, line_id: int, farmer_no: int, phone: str, now: datetime) -> tuple[int, int]:
        """Give a farmer another phone number; returns the line and the farmer's number there.

        A farmer alone on the line to a number that is new: the line itself gets the number, and with it all
        that was ever said. Otherwise the farmer joins the people on the other line, with piles, readings,
        conversation, reminders and questions; what was said before stays where it was said.
        Raises CannotMove when the number is the same, or somebody of that name is there already.
        """
        with self._db.transaction():
            (old_phone, gateway) = self._db.rows(
                "SELECT phone, gateway FROM lines WHERE line_id = ?", line_id
            )[0]
            if old_phone == phone:
                raise CannotMove(f"{phone} is the farmer's number already")
            if self._alone(line_id, farmer_no) and self._lines.by_phone(phone) is None:
                self._db.change("UPDATE lines SET phone = ? WHERE line_id = ?", phone, line_id)
                return line_id, farmer_no
            target = self._lines.find_or_add(phone, gateway, now).line_id
            self._check_name(line_id, farmer_no, target, phone)
            return target, self._carry(line_id, farmer_no, target)

    def _alone(self, line_id: int, farmer_no: int) -> bool:
        others = "SELECT 1 FROM farmers WHERE line_id = ? AND farmer_no <> ? LIMIT 1"
        return self._db.row(others, line_id, farmer_no) is None

    def _check_name(self, line_id: int, farmer_no: int, target: int, phone: str) -> None:
        same = self._db.row(
            "SELECT a.name FROM farmers AS a JOIN farmers AS b ON lower(a.name) = lower(b.name)"
            " WHERE a.line_id = ? AND a.farmer_no = ? AND b.line_id = ?",
            *(line_id, farmer_no, target),
        )
        if same is not None:
            raise CannotMove(f"{same[0]} is known at {phone} already; nothing of either is overwritten")

    def _carry(self, line_id: int, farmer_no: int, target: int) -> int:
        # Children and parents change their keys one after the other; they are checked together at the end.
        self._db.change("PRAGMA defer_foreign_keys = ON")
        number = self._db.next_no("farmers", "farmer_no", line_id=target)
        for table in _KEYED:
            self._db.change(
                f"UPDATE {table} SET line_id = ?, farmer_no = ? WHERE line_id = ? AND farmer_no = ?",  # noqa: S608
                *(target, number, line_id, farmer_no),
            )
        for table, column, children in _NUMBERED:
            self._renumber(table, column, children, (line_id, farmer_no), (target, number))
        self._db.change("UPDATE lines SET farmer_no = ? WHERE line_id = ?", number, target)
        self._db.change(
            "UPDATE lines SET farmer_no = (SELECT min(farmer_no) FROM farmers WHERE line_id = ?) WHERE line_id = ?",
            *(line_id, line_id),
        )
        return number

    def _renumber(
        self, table: str, column: str, children: tuple[str, ...], old: tuple[int, int], new: tuple[int, int]
    ) -> None:
        wanted = f"SELECT {column} FROM {table} WHERE line_id = ? AND farmer_no = ? ORDER BY {column}"  # noqa: S608
        rows = self._db.rows(wanted, *old)
        for (number,) in rows:
            fresh = self._db.next_no(table, column, line_id=new[0])
            self._db.change(
                f"UPDATE {table} SET line_id = ?, farmer_no = ?, {column} = ?"  # noqa: S608
                f" WHERE line_id = ? AND {column} = ?",
                *(*new, fresh, old[0], number),
            )
            for child in children:
                self._db.change(
                    f"UPDATE {child} SET line_id = ?, {column} = ? WHERE line_id = ? AND {column} = ?",  # noqa: S608
                    *(new[0], fresh, old[0], number),
                )
