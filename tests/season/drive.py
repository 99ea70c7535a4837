"""Random farmers who write anything at any time, and what must hold whatever they write.

python -m tests.season.drive 50000     drives farmers through so many messages; prints what it saw
"""

from __future__ import annotations

import logging
import random
import sys
from collections import Counter
from collections.abc import Iterator
from datetime import datetime, timedelta

from bot import Config, HandClock, Inbound, SimulatedGateway, open_bot
from bot.config import Group
from bot.dialogue.state import Conversation
from bot.store import Farmer, Line
from tests.season.texts import ANSWERS, ANYTHING, KEYWORDS, REPORTS, junk

MOST_SEGMENTS, MOST_REPLIES = 3, 4
BETWEEN = timedelta(hours=20)
LATERS = 8
"""So many LATERs lead out of everything that waits: a farmer with questions under questions writes it a few times."""
PHONES = [f"+4477009001{n:02d}" for n in range(12)]
GROUPS = (
    Group(code="HILL7", name="Green Hill", language="en", days_off=("friday", "sunday")),
    Group(code="BONDE7", name="Bonde", language="sw"),
)


class Broken(AssertionError):
    """A promise that was not kept; tells the seed and the last texts, so that it can be played again."""


class _Faults(logging.Handler):
    """Gathers what the bot logs as a fault: its plain fallback answer comes with one."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.seen: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.seen.append(self.format(record))


class Drive:
    """One bot with some phones, driven by a seed. `database`: a file, or :memory:."""

    def __init__(self, seed: int, database: str = ":memory:") -> None:
        self.seed, self.random = seed, random.Random(seed)
        zone = self.random.choice(["Africa/Nairobi", "America/New_York", "Asia/Kathmandu"])
        self.config = Config(
            database=database, default_timezone=zone, groups=GROUPS,
            default_language=self.random.choice(["en", "sw"]),
        )  # fmt: skip
        start = datetime(2026, self.random.randint(1, 12), 3, 9, tzinfo=self.config.timezone())
        self.clock = HandClock(start)
        self.gateway = SimulatedGateway()
        self.bot = open_bot(self.config, self.clock, [self.gateway])
        self.faults, self.texts, self.told = _Faults(), 0, 0
        self.past: dict[str, list[str]] = {phone: [] for phone in PHONES}
        self.unasked: dict[int, datetime] = {}
        self.seen: Counter[str] = Counter()
        logging.getLogger("bot").addHandler(self.faults)

    def close(self) -> None:
        logging.getLogger("bot").removeHandler(self.faults)
        self.bot.close()

    def check(self, holds: object, promise: str, phone: str | None = None) -> None:
        if not holds:
            past = self.past[phone][-30:] if phone else []
            raise Broken(f"seed {self.seed}, text {self.texts}: {promise}\n" + "\n".join(past))

    # -- steps

    def run(self, messages: int) -> None:
        """Take part in so many messages, then let half a year pass and look at every pile."""
        for phone in PHONES[: self.random.randint(2, len(PHONES))]:
            self.say(phone, self.random.choice(["JOIN", "JOIN HILL7", "JOIN BONDE7", "hello", "plan 2x2x2"]))
        while self.texts < messages:
            self.step()
        self.pass_time(timedelta(days=190))
        self.look_at_piles()

    def step(self) -> None:
        phone = self.random.choice([p for p, past in self.past.items() if past])
        chance = self.random.random()
        if chance < 0.02:
            self.leave_by_later(phone)
        elif chance < 0.03:
            self.stop_from_anywhere(phone)
        elif chance < 0.12:
            self.pass_time(self._span())
        else:
            self.say(phone, self.next_text(phone))

    def _span(self) -> timedelta:
        hours = self.random.choice([1, 5, 20, 26, 50, 100, 170, 170, 340, 900])
        return timedelta(hours=hours * self.random.uniform(0.5, 1.2))

    def next_text(self, phone: str) -> str:
        """Mostly an answer that fits the open question, else anything."""
        talk = self.talk(phone)
        frame = talk.waiting
        step = self.bot.engine.open_step(talk)
        chance = self.random.random()
        if frame is not None and step is not None and chance < 0.6:
            words = [a for a in step.answers if a in ANSWERS]
            if words and self.random.random() < 0.7:
                return self.random.choice(ANSWERS[self.random.choice(words)])
            return self.random.choice(ANSWERS.get(step.expect, ["1"]))
        if chance < 0.85:
            text = self.random.choice(REPORTS + KEYWORDS)
            return f"{self.random.choice('ABC')}: {text}" if self.random.random() < 0.15 else text
        return junk(self.random) if chance > 0.97 else self.random.choice(ANYTHING)

    def say(self, phone: str, text: str) -> list[str]:
        """One text and its answers, with all that must hold of them."""
        self.texts += 1
        self.past[phone].append(f"> {text!r}")
        before, was = len(self.gateway.sent), self.line(phone)
        inbound = Inbound(
            gateway="simulated", phone=phone, text=text, gateway_id=str(self.texts), sent_at=self.clock.now()
        )
        self.bot.receive(inbound)
        self.bot.send_queued()
        answers = [m.text for m in self.gateway.sent[before:] if m.phone == phone]
        self.past[phone] += [f"< {answer}" for answer in answers]
        self.check(not self.faults.seen, "a fault was logged: " + "\n".join(self.faults.seen), phone)
        self.check(len(answers) <= MOST_REPLIES, f"{len(answers)} messages answer one", phone)
        now = self.line(phone)
        if was is None or was.state == "open" or (now is not None and now.state == "open"):
            self.check(answers, "nothing was answered", phone)
        self._look_at_new(phone)
        self.clock.move_by(timedelta(minutes=self.random.randint(1, 90)))
        return answers

    def _look_at_new(self, phone: str | None = None) -> None:
        for message in self.gateway.sent[self.told :]:
            self.check(
                message.text.strip() and message.segments <= MOST_SEGMENTS, f"too long: {message.text}", phone
            )
            self.check("None" not in message.text, f"a hole: {message.text}", phone)
            self.seen[f"{message.why} {message.dialogue}"] += 1
            if message.why != "reply":
                self._look_at_unasked(message.line_id, message.queued_at, message.text)
        self.told = len(self.gateway.sent)

    def _look_at_unasked(self, line_id: int, at: datetime, text: str) -> None:
        last = self.unasked.get(line_id)
        self.check(last is None or at == last or at - last >= BETWEEN, f"two unasked within 20 hours: {text}")
        self.unasked[line_id] = at
        line = self.bot.store.lines.get(line_id)
        self.check(line is not None and line.state == "open", f"unasked after STOP: {text}")
        local = at.astimezone(self.config.timezone())
        self.check(self.config.reminder_hours.holds(local.time()), f"unasked at {local}: {text}")

    def pass_time(self, span: timedelta) -> None:
        """Live through a span of time as a running bot does."""
        target = self.clock.now() + span
        while (due := self.bot.next_due()) is not None and due <= target:
            self.clock.move_to(max(due, self.clock.now()))
            self.check(self.bot.run_due(), "a task stays due")
            self.bot.send_queued()
            self.check(not self.faults.seen, "a fault was logged: " + "\n".join(self.faults.seen))
            self._look_at_new()
        self.clock.move_to(target)

    # -- promises

    def leave_by_later(self, phone: str) -> None:
        """Whatever is open is left by writing LATER, and STATUS still tells where one is."""
        if self.silent(phone):
            return
        for _ in range(LATERS):
            if self.talk(phone).waiting is None:
                break
            self.say(phone, "LATER")
        waiting = self.talk(phone).waiting
        self.check(waiting is None, f"LATER does not leave {waiting}", phone)
        self.check(self.say(phone, "STATUS"), "STATUS tells nothing", phone)

    def stop_from_anywhere(self, phone: str) -> None:
        """STOP is confirmed once, nothing follows, START begins again."""
        if self.silent(phone):
            self.check(self.say(phone, "START"), "START says nothing", phone)
            return
        answers = self.say(phone, self.random.choice(["STOP", "stop", "Stop."]))
        line = self.line(phone)
        self.check(line is not None and line.state == "stopped", "STOP does not stop", phone)
        self.check(len(answers) == 1, f"STOP is answered by {len(answers)} messages", phone)
        self.check(not self.say(phone, self.random.choice(ANYTHING)), "a text after STOP is answered", phone)
        self.pass_time(timedelta(days=self.random.randint(0, 20)))
        self.check(self.say(phone, "START"), "START says nothing", phone)

    def look_at_piles(self) -> None:
        """Every pile that stands has something set for it, is asked about, or has come to its end."""
        for line in self.bot.store.lines.all():
            for farmer in self.bot.store.farmers.of_line(line.line_id):
                for letter in self._forgotten(line, farmer):
                    self.check(False, f"pile {letter} of {line.phone} is forgotten", line.phone)

    def _forgotten(self, line: Line, farmer: Farmer) -> Iterator[str]:
        tasks = {t.letter for t in self.bot.store.tasks.of_farmer(line.line_id, farmer.farmer_no)}
        talk = self.bot.turns.talk(line.line_id, farmer.farmer_no)
        asked = {frame.pile for frame in talk.frames}
        for pile in self.bot.store.piles.of_farmer(line.line_id, farmer.farmer_no, open_only=True):
            self.seen[f"pile {pile.stage}"] += 1
            if pile.stage == "working" and farmer.name and pile.letter not in tasks | asked:
                yield pile.letter

    # -- looking in

    def line(self, phone: str) -> Line | None:
        return self.bot.store.lines.by_phone(phone)

    def silent(self, phone: str) -> bool:
        line = self.line(phone)
        return line is None or line.state == "stopped"

    def talk(self, phone: str) -> Conversation:
        line = self.line(phone)
        if line is None or line.farmer_no is None:
            return Conversation()
        return self.bot.turns.talk(line.line_id, line.farmer_no)


def drive(messages: int, seed: int = 0, each: int = 500) -> Counter[str]:
    """Drive one bot after the other, each with its own seed, until so many messages were taken."""
    seen: Counter[str] = Counter()
    while seen["texts"] < messages:
        driven = Drive(seed)
        try:
            driven.run(min(each, messages - seen["texts"]))
        finally:
            driven.close()
        seen.update(driven.seen)
        seen["texts"] += driven.texts
        seed += 1
    return seen


def main(argv: list[str]) -> int:
    messages, seed = (int(argv[0]) if argv else 3000), (int(argv[1]) if len(argv) > 1 else 0)
    for what, number in sorted(drive(messages, seed).items(), key=lambda item: -item[1]):
        print(f"{number:7} {what}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
