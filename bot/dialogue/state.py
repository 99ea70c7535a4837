"""Where a farmer stands in the dialogues; kept in the store as JSON."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import msgspec

from bot.dialogue.vocabulary import Value


class Frame(msgspec.Struct, kw_only=True):
    """One dialogue under way. `step` None: not begun. The last frame of a conversation is the one that waits.

    said : values that came before they were asked for, by kind.
    facts : this dialogue's own facts (`talk.*` and results of computations).
    worked : what went into each computation, by its name; for who asks later how a number came about.
    held : a message, as plain values, that is taken up when this dialogue has told of which pile it is.
    misses : replies in a row that did not answer the question.
    """

    dialogue: str
    version: int
    step: str | None = None
    pile: str | None = None
    said: dict[str, Value] = {}
    facts: dict[str, Value] = {}
    worked: dict[str, dict[str, Value]] = {}
    held: dict[str, Any] | None = None
    misses: int = 0


class Conversation(msgspec.Struct, kw_only=True):
    """The dialogues of one farmer, the waiting one last.

    asked_at : when the open question was last put.
    reminded : the open question has been put again once after silence.
    watched : a task is set that looks after silence.
    asked_about : piles that the last message asked about, if it asked about several.
    last_pile, last_pile_at : the pile that a message was last about, and when.
    unanswered, unanswered_at : reminders about each pile in a row since the farmer last wrote (`` for those about
        none), and when the newest went.
    away : the last reminder has been sent; nothing more comes until the farmer writes.
    updated : the dialogue files changed under the farmer, who is still to be told.
    missed_in_a_row : messages in a row that were not understood.
    undo : what the last report changed (see bot.undo), to be taken back when the farmer wishes.
    """

    frames: list[Frame] = []
    asked_at: datetime | None = None
    reminded: bool = False
    watched: bool = False
    asked_about: list[str] = []
    last_pile: str | None = None
    last_pile_at: datetime | None = None
    unanswered: dict[str, int] = {}
    unanswered_at: dict[str, datetime] = {}
    away: bool = False
    updated: bool = False
    missed_in_a_row: int = 0
    undo: dict[str, Any] | None = None

    @property
    def waiting(self) -> Frame | None:
        return self.frames[-1] if self.frames else None


def dump(conversation: Conversation) -> bytes:
    return msgspec.json.encode(conversation)


def parse(data: bytes | str | None) -> Conversation:
    """A stored conversation; a fresh one when there is none. Raises msgspec.ValidationError for a broken one."""
    return msgspec.json.decode(data, type=Conversation) if data else Conversation()
