"""One message's answer: corrections of the last report first, then the dialogues."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import msgspec

from bot.dialogue.state import Conversation, Frame
from bot.dialogue.turn import Saying
from bot.reading.meaning import Meaning
from bot.several import parts_by_pile
from bot.turns import Turns
from bot.undo import Undo
from bot.world import FarmerWorld

CORRECTED_WITHIN = timedelta(days=3)
_TELLS = {
    "feel": ("feel", "celsius"), "squeeze": ("squeeze",), "smell": ("smell",), "rain": ("rain", "rain_mm"),
}  # fmt: skip
"""The kinds of readings, and the fields of a message that tell them."""
_DONE = ("turned", "watered", "both")
Read = Callable[[str, str, Conversation], Meaning]


class Answering:
    """read : reads a text again, in the light of the question that then is open."""

    def __init__(
        self, turns: Turns, read: Read, talk: Conversation, meaning: Meaning, world: FarmerWorld
    ) -> None:
        self.turns, self.read, self.talk, self.meaning, self.world = turns, read, talk, meaning, world

    def says(self) -> list[Saying]:
        """What is said. Changes the conversation and the world."""
        before = msgspec.to_builtins(self.talk.frames)
        if parts := self._parts():
            says = self._one_by_one(parts)
        else:
            meaning = self._corrected() if self.meaning.word == "meant" else self.meaning
            says = self.turns.engine.take(self.talk, meaning, self.world)
        if self.world.taken_back:
            return [*says, *self._go_back()]
        if self.world.undo.is_report(self.world.piles):
            self.world.undo.frames = before
            self.talk.undo = msgspec.to_builtins(self.world.undo)
        return says

    def _parts(self) -> list[Meaning]:
        """What is said of each of several piles, if each part reports something."""
        language, letters = self.world.language, self.world.piles_for("built")
        parts = [
            msgspec.structs.replace(self.read(part, language, Conversation()), pile=letter)
            for letter, part in parts_by_pile(self.meaning.text, letters)
        ]
        return parts if all(_reports(part) for part in parts) else []

    def _one_by_one(self, parts: list[Meaning]) -> list[Saying]:
        """Every pile's report is taken; of the questions that follow, each is put once more when its turn comes."""
        says: list[Saying] = []
        for part in parts:
            self.world.hear(part)
            says += self.turns.engine.take(self.talk, part, self.world)
        self.world.undo.text = self.meaning.text
        return says

    def _go_back(self) -> list[Saying]:
        """The conversation as it was before the report that was taken back, with its question."""
        self._restore(self.world.last_report or Undo())
        return self.turns.engine.put_again(self.talk, self.world)

    def _restore(self, undone: Undo) -> None:
        self.talk.frames = msgspec.convert(undone.frames, list[Frame])
        self.talk.undo = None

    def _corrected(self) -> Meaning:
        """`No, I meant warm`: the last reading of that kind is taken back; what remains is a plain report."""
        kinds = {
            k for k, fields in _TELLS.items() if any(getattr(self.meaning, f) is not None for f in fields)
        }
        if not kinds:
            return self.meaning
        last = self.world.last_report
        if last is not None and last.kinds() & kinds:
            self.world.take_back_last()
            self._restore(last)
        else:
            self.world.remove_latest(kinds, CORRECTED_WITHIN)
        again = self.read(self.meaning.text, self.world.language, self.talk)
        # The correction is no answer by itself: `no` belongs to `no, I meant`.
        plain = msgspec.structs.replace(again, word=None, answer=None, pile=again.pile or self._pile(last))
        self.world.hear(plain)
        return plain

    def _pile(self, last: Undo | None) -> str | None:
        """The pile that was reported on by mistake is the one that is meant now."""
        return last.readings[0][0] if last is not None and last.readings else None


def _reports(meaning: Meaning) -> bool:
    told = any(getattr(meaning, field) is not None for fields in _TELLS.values() for field in fields)
    return told or meaning.word in _DONE
