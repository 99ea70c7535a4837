"""What a turn of the conversation brings forth, and the world it acts on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

import msgspec

from bot.dialogue.state import Frame
from bot.dialogue.vocabulary import Value
from bot.reading.meaning import Meaning


class Filled(msgspec.Struct, frozen=True):
    """A fact's value with its kind, so that it can be worded."""

    kind: str
    value: Value


class Saying(msgspec.Struct, frozen=True, kw_only=True):
    """A source text to be worded, with the facts it names and the place it comes from.

    language : to word it in, if that is not the farmer's.
    path : the steps of this turn that led here, each with the reason why it was taken.
    worked : what went into the computations of this dialogue, by their names.
    """

    text: str
    values: Mapping[str, Filled] = {}
    dialogue: str | None = None
    step: str | None = None
    pile: str | None = None
    language: str | None = None
    path: Sequence[str] = ()
    worked: Mapping[str, Mapping[str, Value]] = {}


class World(Protocol):
    """Everything outside the dialogue: facts of farmer and pile, given facts, side effects."""

    def fact(self, name: str, frame: Frame | None) -> Value | None:
        """A `farmer.`, `pile.` or given fact; None when unknown."""
        ...

    def keep(self, name: str, value: Value | None, frame: Frame) -> None:
        """Set a `farmer.` or `pile.` fact; None forgets it."""
        ...

    def act(self, action: str, frame: Frame) -> None:
        """Carry out a named action; may move the frame to another pile."""
        ...

    def schedule(self, dialogue: str, days: int, frame: Frame) -> None: ...

    def cancel(self, dialogue: str, frame: Frame) -> None: ...

    def answered(self, kind: str, value: Value) -> None:
        """The open question was answered so: given facts of this message follow it (`2` may mean warm)."""
        ...

    def hear(self, meaning: Meaning) -> None:
        """Another message is dealt with from here on: one that had to wait."""
        ...

    def piles_for(self, need: str) -> list[str]:
        """The piles that a dialogue could be about, the most fitting first (need: see Dialogue.of_a_pile)."""
        ...

    def named_pile(self, meaning: Meaning) -> str | None:
        """The pile that a message names, by its letter or its name; it need not exist."""
        ...

    def last_pile(self) -> str | None:
        """The pile that was spoken of in the last days."""
        ...

    def own_answer(self, kind: str, meaning: Meaning) -> Value | None:
        """An answer that only the surroundings can understand, such as the letter of a pile."""
        ...

    def joined(self) -> bool:
        """Whether this farmer has agreed to be advised."""
        ...

    def not_understood(self, meaning: Meaning, expect: str | None) -> None: ...
