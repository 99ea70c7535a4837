"""Where a farmer stands in the dialogues; kept in the store as JSON."""

from __future__ import annotations

from datetime import datetime

import msgspec

from bot.dialogue.vocabulary import Value


class Frame(msgspec.Struct, kw_only=True):
    """One dialogue under way. `step` None: not begun. The last frame of a conversation is the one that waits.

    said : values that came before they were asked for, by kind.
    facts : this dialogue's own facts (`talk.*` and results of computations).
    misses : replies in a row that did not answer the question.
    """

    dialogue: str
    version: int
    step: str | None = None
    pile: str | None = None
    said: dict[str, Value] = {}
    facts: dict[str, Value] = {}
    misses: int = 0


class Conversation(msgspec.Struct, kw_only=True):
    """The dialogues of one farmer, the waiting one last.

    asked_at : when the open question was last put.
    reminded : the open question has been put again once after silence.
    watched : a task is set that looks after silence.
    """

    frames: list[Frame] = []
    asked_at: datetime | None = None
    reminded: bool = False
    watched: bool = False

    @property
    def waiting(self) -> Frame | None:
        return self.frames[-1] if self.frames else None


def dump(conversation: Conversation) -> bytes:
    return msgspec.json.encode(conversation)


def parse(data: bytes | str | None) -> Conversation:
    """A stored conversation; a fresh one when there is none. Raises msgspec.ValidationError for a broken one."""
    return msgspec.json.decode(data, type=Conversation) if data else Conversation()
