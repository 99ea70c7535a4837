"""The bot: one inbound message is one transaction, one reminder another; what they say waits in the outbox."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import msgspec

from bot.advice.vocabulary import vocabulary
from bot.answering import Answering
from bot.clock import Clock
from bot.config import Config
from bot.courtesy import calmly, is_machine, offered_language
from bot.datafile import BadFile
from bot.dialogue.engine import Engine
from bot.dialogue.library import read_library
from bot.dialogue.state import Conversation
from bot.dialogue.turn import Saying
from bot.gateways.base import Gateway
from bot.messages import Inbound, LogEntry, Receipt
from bot.people import speaks_for
from bot.reading.meaning import Meaning, as_contract
from bot.reading.reader import Reader
from bot.reading.words import load_languages
from bot.reminders import backoff
from bot.reminders.due import DueTasks
from bot.reminders.timing import local_day
from bot.sender import Senders
from bot.store import ERASURE, Farmer, Line, Store, StoreError
from bot.teaching import Readers
from bot.turns import Turns
from bot.weather import RainDay
from bot.wording.speaker import Speaker
from bot.world import ANYWHERE, FarmerWorld

ROOT = Path(__file__).parents[1]
HERE = "other_here"
"""The dialogue that greets another person on a shared phone."""
WORDS_OF_A_QUESTION = 3
"""A text of so many words about a topic is no name."""
log = logging.getLogger(__name__)


@cache
def _read_files(root: Path, offered: tuple[str, ...] = (), first: str = "") -> tuple[Engine, Reader, Speaker]:
    """Word lists, dialogues and catalogs, read and checked once: none of them changes while a process runs.

    offered : the languages of the programme, () for all, the one called `first` before the others. Raises BadFile.
    """
    lists = load_languages(root / "locales")
    for wanted in offered:
        if wanted not in lists:
            problem = f"{wanted!r} has no folder in locales/; there are {', '.join(lists)}"
            raise BadFile("configuration", None, "languages", problem)
    lists = {code: lists[code] for code in offered or sorted(lists, key=lambda code: (code != first, code))}
    words = vocabulary(lists.values())
    engine = Engine(read_library(root / "dialogues", words), words)
    return engine, Reader(lists), Speaker(lists, root / "locales")


class Bot:
    """Everything behind the gateways. Thread-safe: every call opens its own transaction."""

    def __init__(self, config: Config, clock: Clock, gateways: Sequence[Gateway] = ()) -> None:
        self.config, self.clock = config, clock
        self.engine, reader, self.speaker = _read_files(ROOT, config.languages, config.default_language)
        languages = self.speaker.languages
        for wanted in (
            config.default_language,
            *(group.language for group in config.groups if group.language),
        ):
            if wanted not in languages:
                problem = f"{wanted!r} is none of the languages offered: {', '.join(languages)}"
                raise BadFile("configuration", None, "language", problem)
        self.store = Store.open(config.database, busy_timeout_s=config.busy_timeout_s)
        self.readers = Readers(reader, self.store)
        chats = {gateway.name for gateway in gateways if gateway.chat}
        self.turns = Turns(self.store, config, self.engine, self.speaker, chats)
        self.due = DueTasks(self.turns, clock)
        self.senders = Senders(self.store, gateways, clock, config.retry_after)
        self._watchers: tuple[Callable[[], None], ...] = ()

    def close(self) -> None:
        self.store.close()

    def on_change(self, *watchers: Callable[[], None]) -> None:
        """Call these after every message taken: something may wait to be sent, or be due sooner."""
        self._watchers = watchers

    # -- messages

    def receive(self, inbound: Inbound) -> Receipt:
        """Take one text: recorded, answered and committed, or nothing at all (StoreBusy, StoreFull)."""
        # Half an emoji, as networks cut long texts, can neither be stored nor sent.
        whole = inbound.text.encode("utf-8", "replace").decode()
        receipt = self._take(msgspec.structs.replace(inbound, text=whole))
        for watcher in self._watchers:
            watcher()
        return receipt

    def _take(self, inbound: Inbound) -> Receipt:
        try:
            return self._receive(inbound, plainly=False)
        except StoreError:
            raise
        except Exception as exc:
            # A fault of ours must not cost the farmer an answer, nor be taken again and again by the gateway.
            log.exception("no answer could be worked out: %s", exc)
            return self._receive(inbound, plainly=True)

    def _receive(self, inbound: Inbound, plainly: bool) -> Receipt:
        now = self.clock.now()
        with self.store.transaction():
            receipt = self.store.inbox.record(inbound, now, self.config.repeat_window)
            if receipt.repeated:
                return receipt
            line = self.store.lines.get(receipt.line_id)
            assert line is not None
            farmer, text = self._who(line, inbound.text, now)
            talk = self.turns.talk(line.line_id, farmer.farmer_no)
            meaning = self._read(text, farmer.language or self.config.default_language, talk)
            world = self.turns.world(
                line, farmer, talk, now, meaning=meaning, sent_at=inbound.sent_at, in_no=receipt.in_no
            )
            if self._is_silent(line, meaning, world) or is_machine(meaning, talk):
                self._keep_read(world, meaning, meaning.understood)
                return receipt
            self.store.outbox.release(line.line_id, now)
            backoff.answered(talk)
            if plainly:
                talk, says = Conversation(), [Saying(text=self.engine.library.common.texts["stuck"])]
                world.tell_trainer("alert", meaning.text)
            else:
                says = Answering(self.turns, self._read, talk, calmly(meaning), world).says()
                offer = offered_language(meaning, world, self.engine.library.common.texts["other_language"])
                # What was not understood needs no apology in a language that the farmer may not read.
                says = offer if offer and world.missed else says + offer
            talk.missed_in_a_row = talk.missed_in_a_row + 1 if world.missed else 0
            self._keep_read(world, world.meaning or meaning, not world.missed)
            self._finish(world, talk, says, receipt.in_no)
            return receipt

    def _keep_read(self, world: FarmerWorld, meaning: Meaning, understood: bool) -> None:
        """A name, DONE or `2` says nothing by itself; it is understood when it answered the open question."""
        read = {**as_contract(meaning), "understood": understood, "ask_again": not understood}
        self.store.inbox.set_read(world.line.line_id, world.in_no or 0, read, world.farmer.farmer_no)

    def _read(self, text: str, language: str, talk: Conversation) -> Meaning:
        """What a text means; a full question is one even where any text would do, as for a name."""
        expect, options = self.engine.expects(talk)
        reader = self.readers.current()
        meaning = reader.read(text, language, expect, options)
        if expect == "text" and not meaning.topic_alone:
            freely = reader.read(text, language)
            if freely.answer == "later" and len(text.split()) == 1:
                return msgspec.structs.replace(freely, topic_alone=True)  # LATER is nobody's name
            if freely.topic not in (None, "trainer") and (freely.size_m or freely.materials):
                return freely
            if freely.topic not in (None, "trainer", "join") and len(text.split()) >= WORDS_OF_A_QUESTION:
                return msgspec.structs.replace(freely, topic_alone=True)
        return meaning

    def _who(self, line: Line, text: str, now: datetime) -> tuple[Farmer, str]:
        """Who writes, and what: a known name that opens a text says so, else it is who wrote last."""
        people = self.store.farmers.of_line(line.line_id)
        named = speaks_for(text, people) if len(people) > 1 else None
        if named is not None:
            self.store.lines.set_speaker(line.line_id, named[0].farmer_no)
            return named
        known = next((farmer for farmer in people if farmer.farmer_no == line.farmer_no), None)
        return known or self.store.farmers.add(line.line_id, now), text

    def _is_silent(self, line: Line, meaning: Meaning, world: FarmerWorld) -> bool:
        """After STOP nothing is answered until START or JOIN; a JOIN opens the line as START does.

        A STOP or START that was sent before one we know already is late: it changes nothing and says nothing.
        """
        if meaning.topic in ("stop", "start") and line.state_at is not None and world.sent_at < line.state_at:
            return True
        if line.state == "open":
            return False
        if meaning.topic == "join":
            self.store.lines.set_state(line.line_id, "open", world.sent_at)
        return meaning.topic not in ("start", "join")

    def _finish(self, world: FarmerWorld, talk: Conversation, says: list[Saying], in_no: int) -> None:
        opened = {"text": in_no}
        if world.erased:
            self._erase(world, says, in_no)
            return
        pieces = self.turns.pieces(world, says)
        self.turns.save(world, talk, says)
        self.turns.queue(world, pieces, "reply", opened, in_no)
        if world.person is not None:
            self._change_person(world, world.person, in_no)

    def _erase(self, world: FarmerWorld, says: list[Saying], in_no: int) -> None:
        """The confirmation is worded first: after it nothing of the farmer is known, the language neither."""
        pieces = self.turns.pieces(world, says)
        line_id, farmer_no = world.line.line_id, world.farmer.farmer_no
        alone = self.store.erasure.begin(line_id, farmer_no, world.sent_at)
        self.turns.queue(world, pieces, "reply", {"text": in_no}, in_no)
        line = self.store.lines.get(line_id)
        assert line is not None
        data = {"alone": alone, "last_no": line.last_no}
        self.store.tasks.add(line_id, farmer_no, ERASURE, world.now, world.now, data=data)

    def _change_person(self, before: FarmerWorld, person: dict[str, Any], in_no: int) -> None:
        """Another of the people on this phone goes on, with the own conversation."""
        line_id, now = before.line.line_id, before.now
        if "no" in person:
            farmer = self.store.farmers.get(line_id, person["no"])
        else:
            farmer = self.store.farmers.add(line_id, now, name=person["name"])
        assert farmer is not None
        self.store.lines.set_speaker(line_id, farmer.farmer_no)
        talk = self.turns.talk(line_id, farmer.farmer_no)
        world = self.turns.world(before.line, farmer, talk, now)
        says = self.engine.open(talk, HERE, world, None)
        pieces = self.turns.pieces(world, says)
        self.turns.save(world, talk, says)
        self.turns.queue(world, pieces, "reply", {"text": in_no}, in_no)

    # -- time

    def next_due(self) -> datetime | None:
        """When the next reminder or other task is set for."""
        return self.store.tasks.next_due()

    def run_due(self) -> int:
        """Do everything that is due by now, in order; returns how many tasks were done or moved."""
        return self.due.run()

    def send_queued(self) -> int:
        """Hand everything that waits to the gateways; returns how many messages left."""
        return self.senders.drain()

    def report_rain(self, mm: float, place: str | None = None) -> None:
        """The weather of today. [mm] Raises ValueError for rain that cannot be."""
        day = local_day(self.clock.now(), self.config.timezone())
        self.store.rain.add(place or ANYWHERE, day, mm, "weather")

    def keep_rain(self, days: Iterable[RainDay]) -> None:
        """Rain by place and day, all or none of it; told again, a day is replaced. Raises ValueError."""
        with self.store.transaction():
            for each in days:
                self.store.rain.set_day(each.place or ANYWHERE, each.day, each.mm, "trainer")

    # -- looking on

    def transcript(self, phone: str | None = None) -> list[LogEntry]:
        """Every message in order, of one phone or of all."""
        return self.store.transcript(phone)

    def pile_view(self, phone: str) -> dict[str, Any]:
        """What is known of a phone's farmer and piles; empty for an unknown phone."""
        line = self.store.lines.by_phone(phone)
        if line is None or line.farmer_no is None:
            return {}
        farmer = self.store.farmers.get(line.line_id, line.farmer_no)
        assert farmer is not None
        talk = self.turns.talk(line.line_id, farmer.farmer_no)
        world = self.turns.world(line, farmer, talk, self.clock.now())
        waiting = talk.waiting
        tasks = self.store.tasks.of_farmer(line.line_id, farmer.farmer_no)
        return {
            "farmer": msgspec.to_builtins(farmer),
            "line": line.state,
            "piles": [world.snapshot(pile) for pile in world.piles.values()],
            "open_question": {"dialogue": waiting.dialogue, "step": waiting.step} if waiting else None,
            "next": [{"dialogue": t.dialogue, "letter": t.letter, "at": t.due_at.isoformat()} for t in tasks],
        }
