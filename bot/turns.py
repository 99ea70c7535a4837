"""What every turn of a conversation needs, be it a message's or a reminder's: load, word, queue, save."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

import msgspec

from bot.config import Config
from bot.dialogue.engine import Engine
from bot.dialogue.state import Conversation, Frame
from bot.dialogue.turn import Filled, Saying
from bot.messages import Why
from bot.reminders.timing import morning_in
from bot.store import Farmer, Line, Store
from bot.undo import Undo
from bot.wording.segments import count
from bot.wording.speaker import Speaker
from bot.world import FarmerWorld

SILENCE = "silence"
"""The task that looks after a question nobody answered; no dialogue may be called so."""
SILENCE_DAYS, PUT_ASIDE_DAYS = 2, 5
SPOKEN_OF = timedelta(days=3)
"""For so long a report without a letter is about the pile that was last spoken of."""
UNDONE_WITHIN = timedelta(days=2)
"""A report that is older has been built upon: reminders have come and gone since."""
WATCH, WATCH_DAYS = "care", 14
"""What is set for a pile that stands and for which nothing else is."""
TO_A_STOPPED_LINE = ("stop", "delete")
"""Dialogues whose last word may still be sent to a farmer who has just ended it all."""


class Piece(msgspec.Struct, frozen=True):
    """One saying, worded; `name` of the farmer it is for, where several share the phone."""

    text: str
    saying: Saying
    farmer_no: int
    name: str | None = None


class Turns:
    """Loads and keeps conversations, and puts what was said in the outbox."""

    def __init__(
        self, store: Store, config: Config, engine: Engine, speaker: Speaker, chats: Collection[str] = ()
    ) -> None:
        """chats : names of gateways whose messages may be long."""
        self.store, self.config, self.engine, self.speaker = store, config, engine, speaker
        self._chats = frozenset(chats)

    def talk(self, line_id: int, farmer_no: int) -> Conversation:
        kept = self.store.conversations.load(line_id, farmer_no)
        talk = msgspec.convert(kept.state, Conversation) if kept else Conversation()
        self.engine.update(talk)
        return talk

    def world(
        self, line: Line, farmer: Farmer, talk: Conversation, now: datetime, **more: Any
    ) -> FarmerWorld:
        """The farmer's world. more : the message, see FarmerWorld."""
        lately = talk.last_pile_at is not None and abs(now - talk.last_pile_at) < SPOKEN_OF
        undo = msgspec.convert(talk.undo, Undo) if talk.undo else None
        if undo is not None and undo.at is not None and abs(now - undo.at) > UNDONE_WITHIN:
            undo = None
        return FarmerWorld(
            self.store, self.config, line, farmer, now, last_pile=talk.last_pile if lately else None,
            last_report=undo, **more,
        )  # fmt: skip

    def save(self, world: FarmerWorld, talk: Conversation, says: Sequence[Saying]) -> None:
        """Keep the farmer, the piles and where the conversation stands."""
        world.save()
        talk.asked_at = world.now if talk.waiting else None
        piles = {saying.pile for saying in says if saying.pile is not None}
        if piles:
            # After a message about several, the next report must say which it means.
            talk.last_pile, talk.last_pile_at = piles.pop() if len(piles) == 1 else None, world.now
        self.watch_silence(world, talk)
        self._watch_piles(world, talk)
        self.store.conversations.save(
            world.line.line_id, world.farmer.farmer_no, msgspec.to_builtins(talk), world.now
        )

    # -- wording

    def pieces(self, world: FarmerWorld, says: Sequence[Saying]) -> list[Piece]:
        """What is said, in the farmer's language, with the pile's letter where the farmer has several."""
        people = self.store.farmers.of_line(world.line.line_id)
        shared = sum(1 for person in people if person.name) > 1
        name = world.farmer.name if shared else None
        return [
            Piece(
                self.speaker.text(saying, saying.language or world.language),
                saying,
                world.farmer.farmer_no,
                name,
            )
            for saying in self._with_pile_names(says, world)
        ]

    def _with_pile_names(self, says: Sequence[Saying], world: FarmerWorld) -> list[Saying]:
        """With several piles, each message about one begins with its letter."""
        if len(world.piles) < 2:
            return list(says)
        named: list[Saying] = []
        last: str | None = None
        for saying in says:
            if saying.pile is not None and saying.pile != last:
                values = {"bot.pile": Filled("text", saying.pile)}
                text = self.engine.library.common.texts["pile_name"]
                named.append(Saying(text=text, values=values, dialogue="common", step="pile_name"))
                last = saying.pile
            named.append(saying)
        return named

    def messages(self, pieces: Sequence[Piece], world: FarmerWorld) -> list[tuple[str, list[Piece]]]:
        """Texts to send, each with what is in it. On a shared phone each begins with the farmer's name."""
        texts = []
        last: int | None = None
        for piece in pieces:
            # A text that calls the farmer by name needs no name before it.
            named = (
                piece.name is not None and piece.farmer_no != last and not piece.text.startswith(piece.name)
            )
            texts.append(f"{piece.name}: {piece.text}" if named else piece.text)
            last = piece.farmer_no
        found = []
        chat = world.line.gateway in self._chats
        for n, (text, group) in enumerate(self.speaker.joined(texts, world.language, chat=chat)):
            first = pieces[group[0]]
            begins = group[0] == 0 or pieces[group[0] - 1].farmer_no != first.farmer_no
            opening = f"{first.name}: " if n and first.name and not begins else ""
            if count(opening + text).segments > count(text).segments:
                opening = ""  # the message before it has named the farmer; once more must cost nothing
            found.append((opening + text, [pieces[i] for i in group]))
        return found

    def queue(
        self, world: FarmerWorld, pieces: Sequence[Piece], why: Why, opened: Mapping[str, Any],
        in_no: int | None = None,
    ) -> None:  # fmt: skip
        """Put it in the outbox. opened : what made the bot speak, for who asks later."""
        closes = None if why == "reply" else self.config.reminder_hours.end_time
        for text, group in self.messages(pieces, world):
            parts, last = count(text), group[-1].saying
            self.store.outbox.queue(
                world.line.line_id, text, world.now,
                segments=parts.segments, encoding=parts.encoding, why=why, dialogue=last.dialogue,
                step=last.step, reply_to=in_no, farmer_no=group[0].farmer_no,
                trace={"opened": opened, "sayings": [msgspec.to_builtins(p.saying) for p in group]},
                even_if_stopped=last.dialogue in TO_A_STOPPED_LINE,
                send_before=None if closes is None else morning_in(0, world.now, world.zone, closes),
            )  # fmt: skip

    # -- silence

    def watch_silence(self, world: FarmerWorld, talk: Conversation) -> None:
        """Set the task that looks after an open question, unless one is set that will look again itself."""
        if world.meaning is not None:
            talk.reminded = False
        if talk.watched or not self.engine.may_wait(talk):
            return
        due = self.silence_over(world, talk)
        self.store.tasks.add(world.line.line_id, world.farmer.farmer_no, SILENCE, due, world.now)
        talk.watched = True

    def _watch_piles(self, world: FarmerWorld, talk: Conversation) -> None:
        """A pile that stands is never forgotten: when nothing is set for it and nothing asked, we ask later."""
        standing = [p.letter for p in world.piles.values() if p.stage == "working"]
        if not standing or WATCH not in self.engine.library.dialogues:
            return
        tasks = self.store.tasks.of_farmer(world.line.line_id, world.farmer.farmer_no)
        looked_after = {task.letter for task in tasks} | {frame.pile for frame in talk.frames}
        for letter in standing:
            if letter not in looked_after:
                world.schedule(WATCH, WATCH_DAYS, Frame(dialogue=WATCH, version=0, pile=letter))

    def silence_over(self, world: FarmerWorld, talk: Conversation) -> datetime:
        """The morning on which an open question has waited long enough."""
        days = PUT_ASIDE_DAYS if talk.reminded else SILENCE_DAYS
        opens = self.config.reminder_hours.start_time
        return morning_in(days, talk.asked_at or world.now, world.zone, opens)
