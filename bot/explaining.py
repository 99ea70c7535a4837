"""Why a message was sent, in plain words for a trainer: what opened it, step by step, with values and sums."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

import msgspec

from bot.dialogue.engine import Engine
from bot.dialogue.turn import Filled, Saying
from bot.store import Farmer, OutboxRow, Store
from bot.wording.speaker import Speaker

_NUMBER = re.compile(r"(?:[0-9a-f]{8}-)?([0-9]{1,18})-([0-9]{1,18})")
_STATES = {
    "queued": "waits to be sent", "sending": "is with the gateway", "sent": "was sent", "delivered": "was delivered",
    "failed": "could not be sent", "unsure": "may or may not have been sent", "dropped": "was not sent",
}  # fmt: skip


class UnknownMessage(LookupError):
    """There is no message of that number."""


def message_number(row: OutboxRow) -> str:
    """How a trainer names a message: the line and the message's number on it."""
    return f"{row.line_id}-{row.out_no}"


class Explaining:
    """Explains messages of one store."""

    def __init__(self, store: Store, engine: Engine, speaker: Speaker, default_language: str) -> None:
        self.store, self.engine, self.speaker, self.default = store, engine, speaker, default_language

    def explain(self, number: str) -> Iterator[str]:
        """Lines of text about a message. Raises UnknownMessage."""
        found = _NUMBER.fullmatch(number.strip())
        row = self.store.outbox.get(int(found.group(1)), int(found.group(2))) if found else None
        if row is None:
            raise UnknownMessage(f"there is no message {number!r}; numbers look like 3-17")
        return self._lines(row)

    def _lines(self, row: OutboxRow) -> Iterator[str]:
        line, farmer = self.store.lines.get(row.line_id), self._farmer(row)
        language = (farmer.language if farmer else None) or self.default
        name = f" ({farmer.name})" if farmer and farmer.name else ""
        yield f"Message {message_number(row)} to {line.phone if line else 'nobody'}{name}, written {_time(row.queued_at)}"
        yield f"  {row.text}" if row.text else "  (its text has been erased)"
        yield f"It {_STATES[row.state]}{f': {row.error}' if row.error else ''}."
        yield from self._opened(row)
        for n, saying in enumerate(row.trace.get("sayings", ()), 1):
            yield from self._saying(n, msgspec.convert(saying, Saying), language)

    def _farmer(self, row: OutboxRow) -> Farmer | None:
        return self.store.farmers.get(row.line_id, row.farmer_no) if row.farmer_no else None

    def _opened(self, row: OutboxRow) -> Iterator[str]:
        opened = row.trace.get("opened", {})
        if row.reply_to is not None:
            asked = self.store.inbox.get(row.line_id, row.reply_to)
            if asked is not None:
                yield f"It answers the text of {_time(asked.received_at)}: {asked.text!r}"
                yield f"  understood as: {_understood(asked.read or {})}"
        for task in opened.get("tasks", ()):
            about = f" about pile {task['letter']}" if task.get("letter") else ""
            set_at, due_at = (_time(datetime.fromisoformat(task[key])) for key in ("set_at", "due_at"))
            what = (
                "a look at an open question"
                if task["dialogue"] == "silence"
                else f"the reminder {task['dialogue']}"
            )
            yield f"Nobody wrote: {what}{about} was due {due_at}; it was set {set_at}."
        if "question" in opened:
            yield f"The trainer wrote it, in answer to question {opened['question']}."

    def _saying(self, n: int, saying: Saying, language: str) -> Iterator[str]:
        where = (
            "dialogues/common.yaml" if saying.dialogue == "common" else f"dialogues/{saying.dialogue}.yaml"
        )
        pile = f", about pile {saying.pile}" if saying.pile else ""
        yield f"{n}. {self.speaker.text(saying, language)}"
        if saying.dialogue is not None:
            yield f"   from {where}, {saying.step}{pile}"
        if saying.path:
            yield "   because:"
            yield from (f"     {hop}" for hop in saying.path)
        for name, filled in saying.values.items():
            yield f"   {name} = {self._written(filled, language)}"
        for name, inputs in saying.worked.items():
            yield f"   worked out by {name} from:"
            yield from self._inputs(name, inputs, language)

    def _inputs(self, name: str, inputs: Mapping[str, Any], language: str) -> Iterator[str]:
        computation = self.engine.vocabulary.computations.get(name)
        for given, value in inputs.items():
            quantity = computation.inputs.get(given) if computation else None
            yield f"     {given}: {self._written(Filled(quantity.kind if quantity else '', value), language)}"

    def _written(self, filled: Filled, language: str) -> str:
        """A value as the farmer reads it; one that farmers never read as plain data."""
        try:
            return self.speaker.text(Saying(text="{x}", values={"x": filled}), language)
        except (KeyError, TypeError, ValueError):
            return str(filled.value) if isinstance(filled.value, str) else _json(filled.value)


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)


def _time(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M} UTC"


def _understood(read: Mapping[str, Any]) -> str:
    told = {k: v for k, v in read.items() if v is not None and k not in ("text", "understood", "ask_again")}
    if not read.get("understood"):
        return "not understood"
    return ", ".join(
        f"{key} {value if isinstance(value, str) else _json(value)}" for key, value in told.items()
    ) or ("an answer to the question that was open")
