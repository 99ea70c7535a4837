"""What a trainer does: read what waits, answer, move a farmer to a new number, enrol farmers from a list."""

from __future__ import annotations

import re
from datetime import datetime

from bot.config import Config
from bot.dialogue.turn import Filled, Saying
from bot.reminders.timing import morning_in
from bot.store import Farmer, Question, Store
from bot.turns import Turns
from bot.wording.segments import count

_NUMBER = re.compile(r"([0-9]{1,18})-([0-9]{1,18})")


class CannotAnswer(LookupError):
    """There is no such question that waits, or its farmer gets no messages any more."""


def question_number(question: Question) -> str:
    """How a trainer names a question: the line and the question's number on it."""
    return f"{question.line_id}-{question.question_no}"


class Trainer:
    """The trainer's side of a store. Every method is a transaction of its own."""

    def __init__(self, turns: Turns) -> None:
        self.turns = turns
        self.store: Store = turns.store
        self.config: Config = turns.config

    def answer(self, number: str, text: str, now: datetime) -> datetime:
        """Queue an answer for the farmer and mark the question answered; when it may leave.

        In the quiet hours it waits for the morning, or for the farmer to write. Raises CannotAnswer.
        """
        with self.store.transaction():
            question = self._question(number)
            farmer = self.store.farmers.get(question.line_id, question.farmer_no)
            line = self.store.lines.get(question.line_id)
            if farmer is None or line is None or line.state == "stopped":
                raise CannotAnswer(f"the farmer of question {number} has sent STOP: nothing can be sent")
            if not self.store.questions.answer(question.line_id, question.question_no, text, now):
                raise CannotAnswer(f"question {number} has been answered or closed already")
            talk = self.turns.talk(question.line_id, question.farmer_no)
            world = self.turns.world(line, farmer, talk, now)
            says = [*self.turns.engine.common("from_trainer", world), _as_saying(text)]
            written, pieces = self.turns.messages(self.turns.pieces(world, says), world)[0]
            leaves = self._leaves(farmer, now)
            parts = count(written)
            self.store.outbox.queue(
                question.line_id, written, now, segments=parts.segments, encoding=parts.encoding, why="reply",
                dialogue="trainer", step="answer", farmer_no=question.farmer_no, not_before=leaves,
                trace={"opened": {"question": number}},
            )  # fmt: skip
            return leaves

    def _question(self, number: str) -> Question:
        found = _NUMBER.fullmatch(number.strip())
        question = self.store.questions.get(int(found.group(1)), int(found.group(2))) if found else None
        if question is None:
            raise CannotAnswer(f"there is no question {number!r}; `questions` lists them, such as 3-1")
        return question

    def _leaves(self, farmer: Farmer, now: datetime) -> datetime:
        """Now, or the end of the quiet hours."""
        group = self.config.group(farmer.group_code)
        zone = self.config.timezone(farmer.timezone or (group.timezone if group else None))
        quiet = self.config.quiet_hours
        if not quiet.holds(now.astimezone(zone).time()):
            return now
        opens = morning_in(0, now, zone, quiet.end_time)
        return opens if opens > now else morning_in(1, now, zone, quiet.end_time)


def _as_saying(text: str) -> Saying:
    return Saying(text="{text}", values={"text": Filled("text", text)}, dialogue="trainer", step="answer")
