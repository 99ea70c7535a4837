"""Does what is due: opens dialogues in the farmer's morning, few and far enough apart, never a stale one.

Of one phone at a time, in one transaction. What may not be sent now is moved to a later morning; what was
missed is left out; a farmer who does not answer hears from us less and less.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence
from datetime import datetime, timedelta

import msgspec

from bot.clock import Clock
from bot.dialogue.schema import Dialogue
from bot.dialogue.state import Conversation
from bot.dialogue.turn import Saying
from bot.reminders import backoff
from bot.reminders.timing import allowed, day_after, local_day, morning_in, next_allowed
from bot.store import ERASURE, Line, StoreBusy, StoreError, Task
from bot.turns import SILENCE, Piece, Turns
from bot.world import FarmerWorld

BETWEEN_UNASKED = timedelta(hours=20)
STOPPED_DAYS = 7
BROUGHT_FORWARD = timedelta(days=2)
LATE_DAYS = 1
"""A reminder that could not be sent in its own morning still may be on the next one."""
STALE_SILENCE_DAYS = 3
DUE_AT_ONCE = 100
log = logging.getLogger(__name__)


class DoesNotFit(Exception):
    """A second reminder would make the morning's message longer than it may be."""


class DueTasks:
    """Handles the tasks whose time has come."""

    def __init__(self, turns: Turns, clock: Clock) -> None:
        self.turns, self.clock = turns, clock
        self.store, self.engine, self.config = turns.store, turns.engine, turns.config

    def run(self) -> int:
        """Do everything that is due by now, in order; returns how many tasks were done or moved."""
        handled = 0
        while tasks := self.store.tasks.due(self.clock.now(), DUE_AT_ONCE):
            for line_id in dict.fromkeys(task.line_id for task in tasks):
                handled += self._run_line(line_id)
        return handled

    def _run_line(self, line_id: int) -> int:
        for task in self.store.tasks.due_on(line_id, self.clock.now()):
            if task.dialogue == ERASURE:
                return self._erase(task)
        try:
            with self.store.transaction():
                return _Morning(self, line_id).run()
        except StoreError:
            raise
        except Exception as exc:
            log.exception("what was due on line %s failed: %s", line_id, exc)
            return self._one_by_one(line_id)

    def _one_by_one(self, line_id: int) -> int:
        """After a fault of ours: the task that fails is dropped, the others are done."""
        handled = 0
        for task in self.store.tasks.due_on(line_id, self.clock.now()):
            try:
                with self.store.transaction():
                    handled += _Morning(self, line_id, only=task.task_no).run()
            except StoreError:
                raise
            except Exception as exc:
                log.exception("task %s of line %s was dropped: %s", task.task_no, task.line_id, exc)
                handled += self.store.tasks.finish(task, "dropped")
        return handled

    def _erase(self, task: Task) -> int:
        """Wipe what is left of a farmer, once the confirmation has left."""
        if self.store.erasure.finish(task, self.clock.now()):
            try:
                self.store.erasure.wipe()
                self.store.tasks.finish(task)
            except StoreBusy as exc:
                log.warning("%s; trying again", exc)
                self.store.erasure.later(task, self.clock.now())
        return 1


class _Morning:
    """What is due on one line now."""

    def __init__(self, tasks: DueTasks, line_id: int, only: int | None = None) -> None:
        self.turns, self.store, self.engine, self.config = (
            tasks.turns,
            tasks.store,
            tasks.engine,
            tasks.config,
        )
        self.now = tasks.clock.now()
        self.line_id, self.only = line_id, only
        self.pieces: list[Piece] = []
        self.opened: list[dict[str, object]] = []
        self.first: FarmerWorld | None = None
        self.talks: dict[int, Conversation] = {}
        self.done: list[Task] = []
        self.why_notice = False

    def run(self) -> int:
        line, handled = self.store.lines.get(self.line_id), 0
        for task in self.store.tasks.due_on(self.line_id, self.now):
            if self.only in (None, task.task_no):
                handled += line is not None and self._take(task, line)
        if line is not None:
            self._bring_forward(line)
        if self.first is not None and self.pieces:
            why = "notice" if self.why_notice else "reminder"
            self.turns.queue(self.first, self.pieces, why, {"tasks": self.opened})  # type: ignore[arg-type]
        return handled

    def _bring_forward(self, line: Line) -> None:
        """The same weekly work for other piles, set for one of the next days, joins the message if it fits."""
        sent = {(task.farmer_no, task.dialogue) for task in self.done}
        until = self.now + BROUGHT_FORWARD
        for farmer_no, dialogue in sorted(sent):
            known = self.engine.library.dialogues.get(dialogue)
            for task in self.store.tasks.of_farmer(self.line_id, farmer_no):
                same = task.dialogue == dialogue and self.now < task.due_at <= until
                if known is not None and known.if_missed and same and task.created_at < self.now:
                    self._take_early(task, line)

    def _take_early(self, task: Task, line: Line) -> None:
        farmer = self.store.farmers.get(task.line_id, task.farmer_no)
        talk = self.talks[task.farmer_no]
        if farmer is None:
            return
        world = self.turns.world(line, farmer, talk, self.now)
        standing = task.letter in world.piles_for("built")
        if standing and self._back_off(task, talk, world) is None and not backoff.is_last(talk, task.letter):
            self._open(task, self.engine.library.dialogues[task.dialogue], talk, world, early=True)

    def _take(self, task: Task, line: Line) -> bool:
        farmer = self.store.farmers.get(task.line_id, task.farmer_no)
        if farmer is None:
            return self.store.tasks.finish(task, "dropped")
        talk = self.talks.setdefault(task.farmer_no, self.turns.talk(task.line_id, task.farmer_no))
        world = self.turns.world(line, farmer, talk, self.now)
        if line.state == "stopped":
            return self._move(task, self._morning(STOPPED_DAYS, world))
        if task.dialogue == SILENCE:
            return self._silence(task, talk, world)
        return self._reminder(task, talk, world)

    # -- reminders

    def _reminder(self, task: Task, talk: Conversation, world: FarmerWorld) -> bool:
        dialogue = self.engine.library.dialogues.get(self.engine.library.moved_dialogue(task.dialogue))
        if dialogue is None or (
            dialogue.of_a_pile == "built" and task.letter not in world.piles_for("built")
        ):
            return self.store.tasks.finish(
                task, "dropped"
            )  # the pile was used, lost, or never stood after all
        if self._late_days(task, world) > LATE_DAYS:
            return self._missed(task, dialogue, world)
        later = self._not_now(world) or self._back_off(task, talk, world)
        if later is not None:
            return self._move(task, later)
        if backoff.is_last(talk, task.letter):
            return self._say_last(task, talk, world)
        return self._open(task, dialogue, talk, world)

    def _open(
        self, task: Task, dialogue: Dialogue, talk: Conversation, world: FarmerWorld, early: bool = False
    ) -> bool:
        """Open a dialogue; a second one of the morning only if one message holds both."""
        tried = msgspec.convert(msgspec.to_builtins(talk), Conversation)
        beside = any(piece.farmer_no == task.farmer_no for piece in self.pieces)
        try:
            with self.store.attempt():
                self.store.tasks.finish(task)
                says = self.engine.open(tried, dialogue.dialogue, world, task.letter, also=beside)
                pieces = self._together(world, says)
                if says:
                    backoff.count(tried, task.letter, self.now)
                self.turns.save(world, tried, says)
        except DoesNotFit:
            return early or self._move(task, self._morning(1, world))
        self.done.append(task)
        self.talks[task.farmer_no] = tried
        self._keep(task, world, pieces)
        return True

    def _together(self, world: FarmerWorld, says: Sequence[Saying]) -> list[Piece]:
        """Raises DoesNotFit when what is said would need another message than the one that is begun."""
        pieces = [*self.pieces, *self.turns.pieces(world, says)]
        now, before = (len(self.turns.messages(each, world)) for each in (pieces, self.pieces))
        if self.pieces and now > before:
            raise DoesNotFit
        return pieces

    def _keep(self, task: Task, world: FarmerWorld, pieces: list[Piece]) -> None:
        self.pieces, self.first = pieces, self.first or world
        told = {
            "dialogue": task.dialogue,
            "letter": task.letter,
            "set_at": task.created_at,
            "due_at": task.due_at,
        }
        self.opened.append(msgspec.to_builtins(told))

    def _missed(self, task: Task, dialogue: Dialogue, world: FarmerWorld) -> bool:
        """Too late to be of use: left out, or set again at its own distance."""
        if not dialogue.if_missed:
            return self.store.tasks.finish(task, "dropped")
        rounds = -(-self._late_days(task, world) // dialogue.if_missed)
        opens = self.config.reminder_hours.start_time
        return self._move(task, morning_in(rounds * dialogue.if_missed, task.due_at, world.zone, opens))

    def _late_days(self, task: Task, world: FarmerWorld) -> int:
        """Mornings that have gone by since the one for which the task was set, up to the next possible one."""
        hours = self.config.reminder_hours
        next_one = next_allowed(self.now, world.zone, hours.start_time, hours.end_time)
        return (local_day(next_one, world.zone) - local_day(task.due_at, world.zone)).days

    # -- farmers who do not answer

    def _back_off(self, task: Task, talk: Conversation, world: FarmerWorld) -> datetime | None:
        opens = self.config.reminder_hours.start_time
        return backoff.postponed(talk, task.letter, self.now, world.zone, opens)

    def _say_last(self, task: Task, talk: Conversation, world: FarmerWorld) -> bool:
        """One last reminder that says so; the trainer hears of it. The task waits until the farmer is back."""
        if self.pieces:
            return self._move(task, self._morning(1, world))
        talk.away = True
        says = self.engine.common("last_reminder", world)
        world.tell_trainer("away", "", None)
        self.turns.save(world, talk, says)
        self._keep(task, world, self.turns.pieces(world, says))
        return self._move(task, self._morning(backoff.PARKED_DAYS, world))

    # -- silence after a question

    def _silence(self, task: Task, talk: Conversation, world: FarmerWorld) -> bool:
        stale = self._late_days(task, world) > STALE_SILENCE_DAYS
        later = None if stale else self._not_now(world)
        if later is None and self.pieces:
            later = self._morning(1, world)
        if later is not None:
            return self._move(task, later)
        over = self.turns.silence_over(world, talk)
        if over > self.now and self.engine.may_wait(talk):
            return self._move(task, over)
        talk.watched = False
        self.store.tasks.finish(task)
        says = self._after_silence(talk, world, stale)
        self.turns.save(world, talk, says)
        if says:
            self.why_notice = True
            self._keep(task, world, self.turns.pieces(world, says))
        return True

    def _after_silence(self, talk: Conversation, world: FarmerWorld, stale: bool) -> list[Saying]:
        if stale:
            self.engine.put_aside(talk, world)
            return []
        if talk.reminded:
            talk.reminded = False
            return self.engine.put_aside(talk, world)
        says = self.engine.ask_again(talk, world)
        talk.reminded = bool(says)
        return says

    # -- times

    def _not_now(self, world: FarmerWorld) -> datetime | None:
        """When to try again, if this is no time to send: night, a market day, another message just sent."""
        hours, off = self.config.reminder_hours, world.days_off
        if not allowed(self.now, world.zone, hours.start_time, hours.end_time, off):
            return next_allowed(self.now, world.zone, hours.start_time, hours.end_time, off)
        last = self.store.outbox.last_unasked(self.line_id)
        # Within the same time ahead of now, the clock has been set back; further ahead, it was wrong then.
        if last is not None and abs(self.now - last) < BETWEEN_UNASKED:
            return self._morning(1, world)
        return None

    def _morning(self, days: int, world: FarmerWorld) -> datetime:
        """The morning in so many days, or the first after it on which reminders may go."""
        opens = self.config.reminder_hours.start_time
        return day_after(morning_in(days, self.now, world.zone, opens), world.zone, opens, world.days_off)

    def _move(self, task: Task, due: datetime) -> bool:
        return self.store.tasks.move(task, due)
