"""The rows of the store as frozen structs, and the two ways between a row and a struct.

All times are UTC with their zone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, date, datetime
from functools import cache
from typing import Any, Literal, TypeVar, get_origin

import msgspec

from ..messages import Encoding, Why

LineState = Literal["open", "stopped"]
OutState = Literal["queued", "sending", "sent", "delivered", "failed", "unsure", "dropped"]
TaskState = Literal["due", "done", "dropped"]
QuestionKind = Literal["danger", "question", "alert", "number", "away"]
"""What waits for the trainer: danger to people, a farmer's own question, a pile that needs a look, a farmer with a
new phone number, a farmer who answers no more."""


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """One phone number. `farmer_no` is who is speaking; `state_at` when STOP or START was sent."""

    line_id: int
    phone: str
    gateway: str
    state: LineState = "open"
    state_at: datetime | None = None
    farmer_no: int | None = None
    last_no: int = 0
    created_at: datetime


class Farmer(msgspec.Struct, frozen=True, kw_only=True):
    """One person on a line. `facts` is what dialogues remember of the farmer."""

    line_id: int
    farmer_no: int
    name: str | None = None
    language: str | None = None
    place: str | None = None
    timezone: str | None = None
    group_code: str | None = None
    consent_at: datetime | None = None
    facts: dict[str, Any] = {}
    created_at: datetime


class Pile(msgspec.Struct, frozen=True, kw_only=True):
    """One pile of a farmer, by letter. `facts` is what dialogues remember of the pile."""

    line_id: int
    farmer_no: int
    letter: str
    name: str | None = None
    stage: str
    facts: dict[str, Any] = {}
    created_at: datetime
    closed_at: datetime | None = None


class Conversation(msgspec.Struct, frozen=True, kw_only=True):
    """Where a farmer's dialogue stands; what `state` holds is the dialogue engine's business."""

    line_id: int
    farmer_no: int
    state: dict[str, Any]
    updated_at: datetime


class InboxRow(msgspec.Struct, frozen=True, kw_only=True):
    """A message in, with what it was understood to mean (empty: not read)."""

    line_id: int
    in_no: int
    text: str
    received_at: datetime
    farmer_no: int | None = None
    read: dict[str, Any] = {}


class OutboxRow(msgspec.Struct, frozen=True, kw_only=True):
    """A message out, with the reason it was sent (`trace`: the rule and the values used)."""

    line_id: int
    out_no: int
    reference: str
    gateway: str
    reply_to: int | None
    farmer_no: int | None
    text: str
    segments: int
    encoding: Encoding
    why: Why
    dialogue: str | None
    step: str | None
    trace: dict[str, Any]
    even_if_stopped: bool
    state: OutState
    queued_at: datetime
    send_before: datetime | None
    next_try_at: datetime
    attempts: int
    claimed_at: datetime | None
    sent_at: datetime | None
    closed_at: datetime | None
    gateway_ref: str | None
    error: str | None


class Reading(msgspec.Struct, frozen=True, kw_only=True):
    """One report on a pile: kind feel, celsius, squeeze, smell, rain, turned, watered ..."""

    line_id: int
    farmer_no: int
    letter: str
    reading_no: int
    at: datetime
    kind: str
    value: str | None = None
    celsius: float | None = None
    in_no: int | None = None


class Task(msgspec.Struct, frozen=True, kw_only=True):
    """A dialogue to be opened at its time; `letter` is None when it concerns no pile."""

    line_id: int
    task_no: int
    farmer_no: int
    letter: str | None = None
    dialogue: str
    due_at: datetime
    state: TaskState = "due"
    data: dict[str, Any] = {}
    created_at: datetime


class Question(msgspec.Struct, frozen=True, kw_only=True):
    """A question for the trainer with the state of the pile when it was asked.

    at : since when it waits for the trainer. answer, answered_at : the last answer. closed_at : solved.
    """

    line_id: int
    question_no: int
    farmer_no: int
    letter: str | None = None
    at: datetime
    text: str
    snapshot: dict[str, Any] = {}
    answered_at: datetime | None = None
    answer: str | None = None
    kind: QuestionKind = "question"
    closed_at: datetime | None = None


class ThreadEntry(msgspec.Struct, frozen=True, kw_only=True):
    """One text of a question's thread."""

    line_id: int
    question_no: int
    entry_no: int
    at: datetime
    who: Literal["farmer", "trainer"]
    text: str


class NotUnderstood(msgspec.Struct, frozen=True, kw_only=True):
    """A text that could not be read, for those who keep the word lists."""

    line_id: int
    no: int
    at: datetime
    language: str | None = None
    expect: str | None = None
    text: str


class Taught(msgspec.Struct, frozen=True, kw_only=True):
    """A phrase that was taught, what it means (a section of the word lists and an id of it), and when."""

    no: int
    language: str
    phrase: str
    section: str
    id: str
    at: datetime


R = TypeVar("R", bound=msgspec.Struct)


@cache
def columns(schema: type[msgspec.Struct]) -> tuple[str, ...]:
    """Names of the columns of a row, in the order of the struct's fields."""
    return schema.__struct_fields__


@cache
def _json_columns(schema: type[msgspec.Struct]) -> tuple[str, ...]:
    return tuple(field.name for field in msgspec.structs.fields(schema) if get_origin(field.type) is dict)


def stamp(moment: datetime) -> str:
    """A time as the store writes it: UTC, ISO 8601, always as wide, so that text order is time order.

    Raises ValueError for a time without zone.
    """
    if moment.tzinfo is None:
        raise ValueError(f"the store needs a time with a zone, not {moment!r}")
    return moment.astimezone(UTC).isoformat(timespec="microseconds")


def to_column(value: Any) -> Any:
    """A Python value as SQLite stores it: times by `stamp`, days as ISO text, mappings and structs as JSON."""
    if type(value) in _AS_THEY_ARE:
        return value
    write = _WRITERS.get(type(value))
    if write is None:
        # A kind of text or number of its own (those of numpy, say) is stored as what it is a kind of.
        write = next((known for kind, known in _WRITERS.items() if isinstance(value, kind)), to_json)
    return write(value)


def to_columns(values: Iterable[Any]) -> list[Any]:
    """Each value by `to_column`, without the call for the many that are numbers or None."""
    return [value if type(value) in _AS_THEY_ARE else to_column(value) for value in values]


def to_json(value: Any) -> str:
    """JSON text of a mapping, a struct or a list; numbers of numpy become plain ones."""
    return _encoder.encode(value).decode()


def _plain(value: Any) -> Any:
    if hasattr(value, "item"):
        return value.item()
    raise NotImplementedError(f"the store cannot keep a {type(value).__name__}")


_encoder = msgspec.json.Encoder(enc_hook=_plain)


def storable(text: str) -> str:
    """Text with halves of surrogate pairs, which UTF-8 cannot hold, replaced by `?`."""
    return text if text.isascii() else text.encode("utf-8", "replace").decode()


_AS_THEY_ARE = frozenset({int, float, bool, type(None)})
_WRITERS: dict[type, Callable[[Any], Any]] = {
    str: storable,
    int: int,
    float: float,
    datetime: stamp,
    date: date.isoformat,
}


def from_row(schema: type[R], row: Sequence[Any]) -> R:
    """A struct from a row whose columns stand in the order of the struct's fields."""
    named = dict(zip(columns(schema), row, strict=True))
    for name in _json_columns(schema):
        named[name] = msgspec.json.decode(named[name] or "{}")
    return msgspec.convert(named, schema, strict=False)


def from_rows(schema: type[R], rows: Iterable[Sequence[Any]]) -> list[R]:
    return [from_row(schema, row) for row in rows]
