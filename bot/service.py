"""The bot: one inbound message is one transaction, one reminder another; what they say waits in the outbox."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import msgspec

from bot.advice.vocabulary import vocabulary
from bot.clock import Clock
from bot.config import Config
from bot.datafile import BadFile
from bot.dialogue import state
from bot.dialogue.engine import Engine
from bot.dialogue.library import read_library
from bot.dialogue.state import Conversation
from bot.dialogue.turn import Filled, Saying
from bot.gateways.base import Gateway
from bot.messages import Inbound, LogEntry, Receipt, Why
from bot.reading.meaning import Kind, Meaning, as_contract
from bot.reading.reader import Reader
from bot.reading.words import load_languages
from bot.reminders.timing import allowed, local_day, morning_in, next_allowed
from bot.sender import Senders
from bot.store import Farmer, Line, Store, StoreError, Task
from bot.wording.segments import count
from bot.wording.speaker import Speaker
from bot.world import ANYWHERE, FarmerWorld

ROOT = Path(__file__).parents[1]
SILENCE = "silence"
"""The task that looks after a question nobody answered; no dialogue may be called so."""
SILENCE_DAYS, PUT_ASIDE_DAYS = 2, 5
BETWEEN_REMINDERS = timedelta(hours=20)
STOPPED_DAYS = 7
DUE_AT_ONCE = 100
log = logging.getLogger(__name__)


@cache
def _read_files(root: Path) -> tuple[Engine, Reader, Speaker]:
    """Word lists, dialogues and catalogs, read and checked once: none of them changes while a process runs."""
    lists = load_languages(root / "locales")
    words = vocabulary(lists.values())
    engine = Engine(read_library(root / "dialogues", words), words)
    return engine, Reader(lists), Speaker(lists, root / "locales")


class Bot:
    """Everything behind the gateways. Thread-safe: every call opens its own transaction."""

    def __init__(self, config: Config, clock: Clock, gateways: Sequence[Gateway] = ()) -> None:
        self.config, self.clock = config, clock
        self.engine, self.reader, self.speaker = _read_files(ROOT)
        languages = self.speaker.languages
        for wanted in (
            config.default_language,
            *(group.language for group in config.groups if group.language),
        ):
            if wanted not in languages:
                problem = f"{wanted!r} has no folder in locales/; there are {', '.join(languages)}"
                raise BadFile("configuration", None, "language", problem)
        self.store = Store.open(config.database, busy_timeout_s=config.busy_timeout_s)
        self.senders = Senders(self.store, gateways, clock, config.retry_after)
        self._chats = {gateway.name for gateway in gateways if gateway.chat}
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
            farmer = self._farmer(line, now)
            talk = self._talk(line, farmer)
            language = farmer.language or self.config.default_language
            expect, options = self.engine.expects(talk)
            meaning = self._read(inbound.text, language, expect, options)
            world = FarmerWorld(
                self.store, self.config, line, farmer, now,
                meaning=meaning, sent_at=inbound.sent_at, in_no=receipt.in_no,
            )  # fmt: skip
            if self._is_silent(line, meaning, world):
                self._keep_read(world, meaning, meaning.understood)
                return receipt
            if plainly:
                talk, says = Conversation(), [Saying(text=self.engine.library.common.texts["stuck"])]
                world.act("alert_trainer", state.Frame(dialogue="common", version=0))
            else:
                says = self.engine.take(talk, meaning, world)
            self._keep_read(world, meaning, not world.missed)
            self._finish(world, talk, says, "reply", receipt.in_no)
            return receipt

    def _keep_read(self, world: FarmerWorld, meaning: Meaning, understood: bool) -> None:
        """A name, DONE or `2` says nothing by itself; it is understood when it answered the open question."""
        read = {**as_contract(meaning), "understood": understood, "ask_again": not understood}
        self.store.inbox.set_read(world.line.line_id, world.in_no or 0, read, world.farmer.farmer_no)

    def _read(self, text: str, language: str, expect: Kind | None, options: tuple[str, ...]) -> Meaning:
        """What a text means; a full question is one even where any text would do, as for a name."""
        meaning = self.reader.read(text, language, expect, options)
        if expect == "text" and not meaning.topic_alone:
            freely = self.reader.read(text, language)
            if freely.topic not in (None, "trainer") and (freely.size_m or freely.materials):
                return freely
        return meaning

    def _farmer(self, line: Line, now: datetime) -> Farmer:
        known = self.store.farmers.get(line.line_id, line.farmer_no) if line.farmer_no else None
        return known or self.store.farmers.add(line.line_id, now)

    def _talk(self, line: Line, farmer: Farmer) -> Conversation:
        kept = self.store.conversations.load(line.line_id, farmer.farmer_no)
        return msgspec.convert(kept.state, Conversation) if kept else Conversation()

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

    def _finish(
        self, world: FarmerWorld, talk: Conversation, says: list[Saying], why: Why, in_no: int | None = None
    ) -> None:
        now, line_id, farmer_no = world.now, world.line.line_id, world.farmer.farmer_no
        world.save()
        talk.asked_at = now if talk.waiting else None
        self._watch_silence(world, talk)
        self.store.conversations.save(line_id, farmer_no, msgspec.to_builtins(talk), now)
        closes = None if why == "reply" else self.config.reminder_hours.end_time
        for message in self.speaker.messages(
            self._with_pile_names(says, world), world.language, chat=world.line.gateway in self._chats
        ):
            parts, last = count(message.text), message.sayings[-1]
            self.store.outbox.queue(
                line_id, message.text, now,
                segments=parts.segments, encoding=parts.encoding, why=why, dialogue=last.dialogue,
                step=last.step, trace={"sayings": msgspec.to_builtins(message.sayings)}, reply_to=in_no,
                farmer_no=farmer_no, even_if_stopped=last.dialogue == "stop",
                send_before=None if closes is None else morning_in(0, now, world.zone, closes),
            )  # fmt: skip

    def _with_pile_names(self, says: list[Saying], world: FarmerWorld) -> list[Saying]:
        """With several piles, each message about one begins with its letter."""
        if len(world.piles) < 2:
            return says
        named: list[Saying] = []
        last: str | None = None
        for saying in says:
            if saying.pile is not None and saying.pile != last:
                values = {"bot.pile": Filled("text", saying.pile)}
                named.append(Saying(text=self.engine.library.common.texts["pile_name"], values=values))
                last = saying.pile
            named.append(saying)
        return named

    # -- time

    def next_due(self) -> datetime | None:
        """When the next reminder or other task is set for."""
        return self.store.tasks.next_due()

    def run_due(self) -> int:
        """Do everything that is due by now, in order; returns how many tasks were done or moved."""
        handled = 0
        while tasks := self.store.tasks.due(self.clock.now(), DUE_AT_ONCE):
            for task in tasks:
                handled += self._run(task)
        return handled

    def _run(self, task: Task) -> int:
        try:
            with self.store.transaction():
                return self._open_task(task)
        except StoreError:
            raise
        except Exception as exc:
            log.exception("task %s of line %s was dropped: %s", task.task_no, task.line_id, exc)
            return int(self.store.tasks.finish(task, "dropped"))

    def _open_task(self, task: Task) -> int:
        now = self.clock.now()
        line = self.store.lines.get(task.line_id)
        farmer = self.store.farmers.get(task.line_id, task.farmer_no)
        if line is None or farmer is None:
            return int(self.store.tasks.finish(task, "dropped"))
        world = FarmerWorld(self.store, self.config, line, farmer, now)
        later = self._not_now(world)
        if later is not None:
            return int(self.store.tasks.move(task, later))
        talk = self._talk(line, farmer)
        if task.dialogue == SILENCE:
            over = self._silence_over(world, talk)
            if over > now and self.engine.may_wait(talk):
                return int(self.store.tasks.move(task, over))
            talk.watched = False
        if not self.store.tasks.finish(task):
            return 0
        says = self._silence(talk, world) if task.dialogue == SILENCE else self._remind(task, talk, world)
        self._finish(world, talk, says, "notice" if task.dialogue == SILENCE else "reminder")
        return 1

    def _not_now(self, world: FarmerWorld) -> datetime | None:
        """When to try again, if this is no time to send: night, a stopped line, a reminder just sent."""
        opens, closes = self.config.reminder_hours.start_time, self.config.reminder_hours.end_time
        if world.line.state == "stopped":
            return morning_in(STOPPED_DAYS, world.now, world.zone, opens)
        if not allowed(world.now, world.zone, opens, closes):
            return next_allowed(world.now, world.zone, opens, closes)
        last = self.store.outbox.last_sent(world.line.line_id, "reminder")
        if last is not None and timedelta(0) <= world.now - last < BETWEEN_REMINDERS:
            return morning_in(1, world.now, world.zone, opens)
        return None

    def _remind(self, task: Task, talk: Conversation, world: FarmerWorld) -> list[Saying]:
        if task.dialogue not in self.engine.library.dialogues:
            return []
        return self.engine.open(talk, task.dialogue, world, task.letter)

    def _silence(self, talk: Conversation, world: FarmerWorld) -> list[Saying]:
        if talk.reminded:
            talk.reminded = False
            return self.engine.put_aside(talk, world)
        says = self.engine.ask_again(talk, world)
        talk.reminded = bool(says)
        return says

    def _watch_silence(self, world: FarmerWorld, talk: Conversation) -> None:
        """Set the task that looks after an open question, unless one is set that will look again itself."""
        if world.meaning is not None:
            talk.reminded = False
        if talk.watched or not self.engine.may_wait(talk):
            return
        due = self._silence_over(world, talk)
        self.store.tasks.add(world.line.line_id, world.farmer.farmer_no, SILENCE, due, world.now)
        talk.watched = True

    def _silence_over(self, world: FarmerWorld, talk: Conversation) -> datetime:
        """The morning on which an open question has waited long enough."""
        days = PUT_ASIDE_DAYS if talk.reminded else SILENCE_DAYS
        opens = self.config.reminder_hours.start_time
        return morning_in(days, talk.asked_at or world.now, world.zone, opens)

    def send_queued(self) -> int:
        """Hand everything that waits to the gateways; returns how many messages left."""
        return self.senders.drain()

    def report_rain(self, mm: float, place: str | None = None) -> None:
        """The weather of today. [mm] Raises ValueError for rain that cannot be."""
        day = local_day(self.clock.now(), self.config.timezone())
        self.store.rain.add(place or ANYWHERE, day, mm, "weather")

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
        world = FarmerWorld(self.store, self.config, line, farmer, self.clock.now())
        waiting = self._talk(line, farmer).waiting
        tasks = self.store.tasks.of_farmer(line.line_id, farmer.farmer_no)
        return {
            "farmer": msgspec.to_builtins(farmer),
            "line": line.state,
            "piles": [world.snapshot(pile) for pile in world.piles.values()],
            "open_question": {"dialogue": waiting.dialogue, "step": waiting.step} if waiting else None,
            "next": [{"dialogue": t.dialogue, "letter": t.letter, "at": t.due_at.isoformat()} for t in tasks],
        }
