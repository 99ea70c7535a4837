"""Messages out, from the transaction that wrote them to the receipt of the phone.

            +--------- try again -------+
            v                           |
  queue > queued > claim > sending > sent > delivered
            |                 |   \\      \\
            v                 v    v      v
         dropped           unsure  failed (refused, or the receipt says so)

`dropped`: too late, or the farmer sent STOP first. `unsure`: the process ended while the gateway had the
message, and the gateway cannot tell a repeat; it is not sent again, and health counts it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any, Literal

import msgspec

from ..messages import Encoding, Outgoing, Why
from .database import Database
from .rows import OutboxRow

_CLAIM = (
    "SELECT line_id, out_no, reference, gateway, phone, text, segments, encoding, why, dialogue, step,"
    " queued_at, attempts FROM outbox_heads WHERE gateway = ? AND next_try_at <= ?"
    " ORDER BY queued_at, line_id LIMIT ?"
)
_NEXT_TRY = "SELECT next_try_at FROM outbox_heads WHERE gateway = ? ORDER BY next_try_at LIMIT 1"
_WAITING = "SELECT 1 FROM outbox WHERE state = 'queued' AND gateway = ? AND next_try_at <= ? LIMIT 1"
_DROP_LATE = (
    "UPDATE outbox SET state = 'dropped', closed_at = ?, error = 'too late to be of use'"
    " WHERE state = 'queued' AND gateway = ? AND next_try_at <= ? AND send_before <= ?"
)
_DROP_STOPPED = (
    "UPDATE outbox SET state = 'dropped', closed_at = ?, error = 'the farmer sent STOP'"
    " WHERE line_id = ? AND state = 'queued' AND NOT even_if_stopped"
    " AND (SELECT state FROM lines AS l WHERE l.line_id = outbox.line_id) = 'stopped'"
)
_RECOVER = (
    "UPDATE outbox SET state = CASE WHEN ? THEN 'queued' ELSE 'unsure' END, next_try_at = ?,"
    " error = 'the process ended while the gateway had it' WHERE state = 'sending' AND gateway = ?"
)


class Outbox:
    def __init__(self, db: Database) -> None:
        self._db = db
        (self._mark,) = db.rows("SELECT mark FROM identity")[0]

    def queue(
        self,
        line_id: int,
        text: str,
        now: datetime,
        *,
        segments: int,
        encoding: Encoding,
        why: Why,
        dialogue: str | None = None,
        step: str | None = None,
        trace: Mapping[str, Any] | msgspec.Struct | None = None,
        reply_to: int | None = None,
        farmer_no: int | None = None,
        send_before: datetime | None = None,
        not_before: datetime | None = None,
        even_if_stopped: bool = False,
    ) -> Outgoing:
        """Put a message in the line's queue, to leave through the gateway the line was last heard on.

        trace : the rule and the values used, for who asks later why this was sent.
        send_before : after this it is dropped instead (reminders: the end of the morning).
        not_before : it waits until then (a trainer's answer written at night), or until `release`.
        even_if_stopped : the confirmation of STOP itself. Any other message to a stopped line is written
            down as dropped and never sent.
        Raises KeyError for an unknown line.
        """
        with self._db.transaction():
            row = self._db.row(
                "UPDATE lines SET last_no = last_no + 1 WHERE line_id = ?"
                " RETURNING last_no, gateway, phone, state",
                line_id,
            )
            if row is None:
                raise KeyError(f"no line {line_id}")
            out_no, gateway, phone, line_state = row
            message = Outgoing(
                line_id=line_id, out_no=out_no, reference=f"{self._mark}-{line_id}-{out_no}", gateway=gateway,
                phone=phone, text=text, segments=segments, encoding=encoding, why=why, dialogue=dialogue,
                step=step, queued_at=now,
            )  # fmt: skip
            kept = msgspec.structs.asdict(message)
            del kept["phone"]
            stopped = line_state == "stopped" and not even_if_stopped
            kept |= {"trace": trace or {}, "reply_to": reply_to, "farmer_no": farmer_no}
            kept |= {
                "send_before": send_before,
                "next_try_at": not_before or now,
                "even_if_stopped": even_if_stopped,
            }
            kept |= {"state": "dropped" if stopped else "queued", "closed_at": now if stopped else None}
            self._db.insert("outbox", kept | {"error": "the line is stopped" if stopped else None})
            return message

    def release(self, line_id: int, now: datetime) -> None:
        """What waits for the morning may go now: the farmer has just written, and is awake."""
        self._db.change(
            "UPDATE outbox SET next_try_at = ? WHERE line_id = ? AND state = 'queued' AND attempts = 0"
            " AND next_try_at > ?",
            *(now, line_id, now),
        )

    def claim(self, gateway: str, now: datetime, limit: int = 20) -> list[Outgoing]:
        """Take messages of one gateway that are due, oldest first and at most one per line; they are
        `sending` from here on, until one of the mark_ methods is called."""
        if self._db.row(_WAITING, gateway, now) is None:
            return []
        with self._db.transaction():
            self._db.change(_DROP_LATE, now, gateway, now, now)
            rows = self._db.rows(_CLAIM, gateway, now, limit)
            for row in rows:
                self._db.change(
                    "UPDATE outbox SET state = 'sending', claimed_at = ?, attempts = attempts + 1"
                    " WHERE line_id = ? AND out_no = ?",
                    *(now, row[0], row[1]),
                )
        return [_outgoing(row, attempts=row[-1] + 1) for row in rows]

    def mark_sent(self, message: Outgoing, now: datetime, gateway_ref: str | None) -> None:
        """The gateway has taken it. (A receipt may have come first: delivered stays delivered.)"""
        self._db.change(
            "UPDATE outbox SET sent_at = ?, gateway_ref = coalesce(?, gateway_ref), error = NULL,"
            " state = CASE state WHEN 'sending' THEN 'sent' ELSE state END WHERE line_id = ? AND out_no = ?",
            *(now, gateway_ref, message.line_id, message.out_no),
        )

    def mark_failed(self, message: Outgoing, now: datetime, reason: str) -> None:
        """The gateway has refused it for good."""
        self._db.change(
            "UPDATE outbox SET state = 'failed', closed_at = ?, error = ?"
            " WHERE line_id = ? AND out_no = ? AND state = 'sending'",
            *(now, reason, message.line_id, message.out_no),
        )

    def mark_unsure(self, message: Outgoing, now: datetime, reason: str) -> None:
        """Nobody knows whether the gateway took it."""
        self._db.change(
            "UPDATE outbox SET state = 'unsure', closed_at = ?, error = ?"
            " WHERE line_id = ? AND out_no = ? AND state = 'sending'",
            *(now, reason, message.line_id, message.out_no),
        )

    def mark_waiting(self, message: Outgoing, next_try_at: datetime, reason: str) -> None:
        """It did not get through; try again at `next_try_at`, unless the farmer sent STOP meanwhile."""
        with self._db.transaction():
            self._db.change(
                "UPDATE outbox SET state = 'queued', next_try_at = ?, error = ?"
                " WHERE line_id = ? AND out_no = ? AND state = 'sending'",
                *(next_try_at, reason, message.line_id, message.out_no),
            )
            self._db.change(_DROP_STOPPED, next_try_at, message.line_id)

    def recover(self, gateway: str, now: datetime, *, drops_repeats: bool) -> int:
        """After a crash: deal with messages that were with the gateway when the process ended.

        Where the gateway drops a second message of the same reference they are queued again, else they become
        `unsure`. Returns how many there were. Only to be called before the gateway's sender starts.
        """
        with self._db.transaction():
            stuck = self._db.rows(
                "SELECT DISTINCT line_id FROM outbox WHERE state = 'sending' AND gateway = ?", gateway
            )
            changed = self._db.change(_RECOVER, drops_repeats, now, gateway)
            for (line_id,) in stuck:
                self._db.change(_DROP_STOPPED, now, line_id)
            return changed

    def next_try(self, gateway: str) -> datetime | None:
        """When the next message of the gateway may go; None when nothing waits."""
        row = self._db.row(_NEXT_TRY, gateway)
        return None if row is None else datetime.fromisoformat(row[0])

    def take_receipt(
        self,
        gateway: str,
        outcome: Literal["delivered", "failed"],
        now: datetime,
        *,
        reference: str | None = None,
        gateway_ref: str | None = None,
        reason: str | None = None,
    ) -> bool:
        """Note what became of a message, found by our reference or the gateway's own. False: no such message.

        `delivered` is final; a failure told after it changes nothing.
        """
        with self._db.transaction():
            if reference is not None:
                found = self._db.row(
                    "SELECT line_id, out_no FROM outbox WHERE reference = ? AND gateway = ?",
                    reference,
                    gateway,
                )
            else:
                found = self._db.row(
                    "SELECT line_id, out_no FROM outbox WHERE gateway = ? AND gateway_ref = ?"
                    " ORDER BY queued_at DESC LIMIT 1",
                    *(gateway, gateway_ref),
                )
            if found is None:
                return False
            self._db.change(
                "UPDATE outbox SET state = ?, closed_at = ?, error = ? WHERE line_id = ? AND out_no = ?"
                " AND state <> 'delivered'",
                *(outcome, now, reason, *found),
            )
            return True

    def get(self, line_id: int, out_no: int) -> OutboxRow | None:
        return self._db.struct(OutboxRow, "FROM outbox WHERE line_id = ? AND out_no = ?", line_id, out_no)

    def by_reference(self, reference: str) -> OutboxRow | None:
        row = self.get(*_key(reference))
        return row if row is not None and row.reference == reference else None

    def last_unasked(self, line_id: int) -> datetime | None:
        """When the newest message that nobody asked for, and that was not dropped, was queued for a line."""
        row = self._db.row(
            "SELECT queued_at FROM outbox WHERE line_id = ? AND why <> 'reply' AND state <> 'dropped'"
            " ORDER BY out_no DESC LIMIT 1",
            line_id,
        )
        return None if row is None else datetime.fromisoformat(row[0])

    def latest(self, line_id: int, limit: int) -> list[OutboxRow]:
        """The newest messages of a line, newest first."""
        return self._db.structs(
            OutboxRow, "FROM outbox WHERE line_id = ? ORDER BY out_no DESC LIMIT ?", line_id, limit
        )


def _key(reference: str) -> tuple[int, int]:
    """Line and number in a reference, (0, 0) when it is none of ours: an index of references costs every message."""
    found = re.fullmatch(r"[0-9a-f]+-([0-9]{1,18})-([0-9]{1,18})", reference)
    return (int(found.group(1)), int(found.group(2))) if found else (0, 0)


def _outgoing(row: tuple[Any, ...], attempts: int) -> Outgoing:
    named = dict(zip(Outgoing.__struct_fields__, row, strict=True))
    return msgspec.convert(named | {"attempts": attempts}, Outgoing)
