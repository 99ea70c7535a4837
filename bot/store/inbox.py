"""What farmers sent: each delivery recorded once."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

import msgspec

from ..messages import Inbound, Receipt
from .database import Database
from .lines import Lines
from .rows import InboxRow, stamp, storable


class Inbox:
    def __init__(self, db: Database, lines: Lines) -> None:
        self._db, self._lines = db, lines

    def record(self, inbound: Inbound, now: datetime, repeat_window: timedelta) -> Receipt:
        """Write a delivery down, unless it was taken before; makes the line of a new phone.

        A repeat is known by the gateway's own message id, at any age. Without one, by the same text and
        sending time from the same phone within `repeat_window` of the first. A gateway that gives neither id
        nor time cannot tell a repeat from a farmer who writes the same word twice: keep its window short.
        """
        with self._db.transaction():
            line = self._lines.find_or_add(inbound.phone, inbound.gateway, now)
            fingerprint = _fingerprint(inbound)
            known = self._taken_before(line.line_id, inbound, fingerprint, now - repeat_window)
            if known is not None:
                return Receipt(line_id=line.line_id, in_no=known, repeated=True)
            in_no = self._lines.next_no(line.line_id)
            row = {"line_id": line.line_id, "in_no": in_no, "gateway": inbound.gateway}
            row |= {"gateway_id": inbound.gateway_id, "fingerprint": fingerprint, "text": inbound.text}
            self._db.insert("inbox", row | {"sent_at": inbound.sent_at, "received_at": now})
            return Receipt(line_id=line.line_id, in_no=in_no, repeated=False)

    def _taken_before(self, line_id: int, inbound: Inbound, fingerprint: str, since: datetime) -> int | None:
        if inbound.gateway_id is not None:
            row = self._db.row(
                "SELECT in_no FROM inbox WHERE line_id = ? AND gateway = ? AND gateway_id = ?",
                *(line_id, inbound.gateway, inbound.gateway_id),
            )
        else:
            row = self._db.row(
                "SELECT in_no FROM inbox WHERE line_id = ? AND fingerprint = ? AND gateway_id IS NULL"
                " AND received_at > ? ORDER BY in_no DESC LIMIT 1",
                *(line_id, fingerprint, since),
            )
        return None if row is None else int(row[0])

    def get(self, line_id: int, in_no: int) -> InboxRow | None:
        return self._db.struct(InboxRow, "FROM inbox WHERE line_id = ? AND in_no = ?", line_id, in_no)

    def set_read(
        self, line_id: int, in_no: int, read: Mapping[str, Any] | msgspec.Struct, farmer_no: int
    ) -> None:
        """Keep what the text was understood to mean, and who of the line's farmers sent it."""
        self._db.change(
            "UPDATE inbox SET read = ?, farmer_no = ? WHERE line_id = ? AND in_no = ?",
            *(read, farmer_no, line_id, in_no),
        )


def _fingerprint(inbound: Inbound) -> str:
    when = stamp(inbound.sent_at) if inbound.sent_at else ""
    content = "\0".join((inbound.gateway, when, storable(inbound.text)))
    return hashlib.blake2b(content.encode(), digest_size=16).hexdigest()
