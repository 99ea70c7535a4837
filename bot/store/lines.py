"""Lines (phone numbers), the farmers who share them, their piles and their conversations."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import cache
from typing import Any

import msgspec

from .database import Database
from .rows import Conversation, Farmer, Line, LineState, Pile, columns, stamp


class Lines:
    """One phone number each."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def get(self, line_id: int) -> Line | None:
        return self._db.struct(Line, "FROM lines WHERE line_id = ?", line_id)

    def by_phone(self, phone: str) -> Line | None:
        return self._db.struct(Line, "FROM lines WHERE phone = ?", phone)

    def all(self) -> list[Line]:
        return self._db.structs(Line, "FROM lines ORDER BY line_id")

    def find_or_add(self, phone: str, gateway: str, now: datetime) -> Line:
        """The line of a phone, made if new; remembers the gateway it was last heard through."""
        with self._db.transaction():
            line = self.by_phone(phone)
            if line is None:
                self._db.insert("lines", {"phone": phone, "gateway": gateway, "created_at": now})
                line = self.by_phone(phone)
                assert line is not None
            elif line.gateway != gateway:
                self._db.change("UPDATE lines SET gateway = ? WHERE line_id = ?", gateway, line.line_id)
                line = msgspec.structs.replace(line, gateway=gateway)
            return line

    def set_state(self, line_id: int, state: LineState, at: datetime) -> bool:
        """Take a STOP or START that was sent at `at`; False, and no change, when a later one is known.

        STOP drops at once what still waits in the outbox, so that nothing written before it follows it.
        """
        with self._db.transaction():
            newest = self._db.change(
                "UPDATE lines SET state = ?, state_at = ?"
                " WHERE line_id = ? AND (state_at IS NULL OR state_at <= ?)",
                *(state, at, line_id, at),
            )
            if newest and state == "stopped":
                self._db.change(
                    "UPDATE outbox SET state = 'dropped', closed_at = ?, error = 'the farmer sent STOP'"
                    " WHERE line_id = ? AND state = 'queued' AND NOT even_if_stopped",
                    *(at, line_id),
                )
            return bool(newest)

    def set_speaker(self, line_id: int, farmer_no: int | None) -> None:
        """Who of the farmers on this line is speaking."""
        self._db.change("UPDATE lines SET farmer_no = ? WHERE line_id = ?", farmer_no, line_id)

    def next_no(self, line_id: int) -> int:
        """The next number for a message of this line, in or out: their order. Never given twice."""
        row = self._db.row(
            "UPDATE lines SET last_no = last_no + 1 WHERE line_id = ? RETURNING last_no", line_id
        )
        if row is None:
            raise KeyError(f"no line {line_id}")
        return int(row[0])


class Farmers:
    """The people on a line, numbered from 1."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def get(self, line_id: int, farmer_no: int) -> Farmer | None:
        return self._db.struct(Farmer, "FROM farmers WHERE line_id = ? AND farmer_no = ?", line_id, farmer_no)

    def of_line(self, line_id: int) -> list[Farmer]:
        return self._db.structs(Farmer, "FROM farmers WHERE line_id = ? ORDER BY farmer_no", line_id)

    def add(self, line_id: int, now: datetime, **known: Any) -> Farmer:
        """A new farmer on the line with the next number; the first becomes who is speaking."""
        with self._db.transaction():
            number = self._db.next_no("farmers", "farmer_no", line_id=line_id)
            farmer = Farmer(line_id=line_id, farmer_no=number, created_at=now, **known)
            self.save(farmer)
            self._db.change(
                "UPDATE lines SET farmer_no = ? WHERE line_id = ? AND farmer_no IS NULL",
                farmer.farmer_no,
                line_id,
            )
            return farmer

    def save(self, farmer: Farmer) -> None:
        """Write the farmer as given, new or known."""
        self._db.change(
            _upsert("farmers", Farmer, ("line_id", "farmer_no")), *msgspec.structs.astuple(farmer)
        )


class Piles:
    """A farmer's piles, lettered A, B, ... Z, AA, AB ...; a letter is never used again."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def get(self, line_id: int, farmer_no: int, letter: str) -> Pile | None:
        return self._db.struct(
            Pile, "FROM piles WHERE line_id = ? AND farmer_no = ? AND letter = ?", line_id, farmer_no, letter
        )

    def of_farmer(self, line_id: int, farmer_no: int, *, open_only: bool = False) -> list[Pile]:
        """In the order of their letters; `open_only` leaves out piles that are closed."""
        where = "FROM piles WHERE line_id = ? AND farmer_no = ?" + (
            " AND closed_at IS NULL" if open_only else ""
        )
        return self._db.structs(Pile, where + " ORDER BY length(letter), letter", line_id, farmer_no)

    def add(self, line_id: int, farmer_no: int, now: datetime, stage: str, **known: Any) -> Pile:
        with self._db.transaction():
            last = self._db.row(
                "SELECT letter FROM piles WHERE line_id = ? AND farmer_no = ?"
                " ORDER BY length(letter) DESC, letter DESC LIMIT 1",
                *(line_id, farmer_no),
            )
            letter = letter_after(last[0] if last else "")
            pile = Pile(
                line_id=line_id, farmer_no=farmer_no, letter=letter, stage=stage, created_at=now, **known
            )
            self.save(pile)
            return pile

    def save(self, pile: Pile) -> None:
        """Write the pile as given, new or known."""
        self._db.change(
            _upsert("piles", Pile, ("line_id", "farmer_no", "letter")), *msgspec.structs.astuple(pile)
        )


class Conversations:
    """One running conversation per farmer."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def load(self, line_id: int, farmer_no: int) -> Conversation | None:
        return self._db.struct(
            Conversation, "FROM conversations WHERE line_id = ? AND farmer_no = ?", line_id, farmer_no
        )

    def save(
        self, line_id: int, farmer_no: int, state: Mapping[str, Any] | msgspec.Struct, now: datetime
    ) -> None:
        self._db.change(
            "INSERT OR REPLACE INTO conversations (line_id, farmer_no, state, updated_at)"
            " VALUES (?, ?, ?, ?)",
            *(line_id, farmer_no, state, stamp(now)),
        )


def letter_after(letter: str) -> str:
    """The letter that follows: '' A, A B, Z AA, AZ BA.

    >>> [letter_after(letter) for letter in ("", "A", "Z", "AZ", "ZZ")]
    ['A', 'B', 'AA', 'BA', 'AAA']
    """
    if not letter:
        return "A"
    if letter[-1] != "Z":
        return letter[:-1] + chr(ord(letter[-1]) + 1)
    return letter_after(letter[:-1]) + "A"


@cache
def _upsert(table: str, schema: type[Farmer] | type[Pile], key: tuple[str, ...]) -> str:
    names = columns(schema)
    marks = ", ".join("?" * len(names))
    changes = ", ".join(f"{name} = excluded.{name}" for name in names if name not in key)
    insert = f"INSERT INTO {table} ({', '.join(names)}) VALUES ({marks})"  # noqa: S608 - our own names
    return f"{insert} ON CONFLICT ({', '.join(key)}) DO UPDATE SET {changes}"
