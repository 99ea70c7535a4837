"""What a farmer's message does: it answers the open question, opens a dialogue, or must be asked about."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import msgspec

from bot.dialogue.running import ENROL, Running
from bot.dialogue.schema import Dialogue, Step
from bot.dialogue.state import Conversation, Frame
from bot.dialogue.turn import Saying, World
from bot.dialogue.vocabulary import Value, ValueKind
from bot.reading.meaning import Meaning

if TYPE_CHECKING:
    from bot.dialogue.engine import Engine

WHICH_PILE = "which_pile"
"""The dialogue that asks which of several piles a message is about."""
LEAVING_WORDS = ("skip",)
LANGUAGE = "language"
"""The kind of answer that any sentence gives, so that what it asks comes first."""
MISSES_BEFORE_HELP = 3
MISSES_BEFORE_LOST = 2


class Hearing(Running):
    """The turn of one message."""

    def __init__(self, engine: Engine, talk: Conversation, world: World, meaning: Meaning) -> None:
        super().__init__(engine, talk, world)
        self.meaning = meaning
        self.several = talk.asked_about if len(talk.asked_about) > 1 else []
        talk.asked_about = []

    def take(self) -> list[Saying]:
        self.engine.update(self.talk)
        if self.talk.updated:
            self.talk.updated = False
            self.common("updated")
        return self._hear()

    def _hear(self) -> list[Saying]:
        meaning, named = self.meaning, self.world.named_pile(self.meaning)
        self._bring_up(named)
        urgent = self.library.opened_by(meaning, at_any_moment=True)
        opened = urgent or self.library.opened_by(meaning)
        self._drop_held(named, opened)
        frame, step = self.talk.waiting, self.engine.open_step(self.talk)
        if frame is None or step is None:
            return self._without_question(opened)
        same = urgent is not None and self._asks_first(urgent) == step.expect
        meant = named is None or frame.pile in (None, named) or self.kinds[step.expect].own
        if meant and (same or (urgent is None and not self._is_aside(opened, frame, step))):
            answer = self._answer(step, meaning)
            if answer is not None:
                return self._answers(frame, step, answer)
            if opened is None and self._wants_to_leave(meaning):
                self.talk.frames.pop()
                self.common("left")
                return self.settle()
        if opened is not None and not self._will_be_asked(opened, frame, step):
            self.enter(opened)
            return self.settle()
        return self._missed(frame, step)

    def _will_be_asked(self, opened: Dialogue, frame: Frame, step: Step) -> bool:
        """Materials told while their pile's size is asked: the dialogue that is open asks for them itself."""
        later = self._for_later(frame, step)
        asked = any(
            (o.topic and o.topic == self.meaning.topic) or (o.word and o.word == self.meaning.word)
            for o in opened.opens_on
        )
        return not asked and any(o.has and o.has.removesuffix("_m") in later for o in opened.opens_on)

    def _bring_up(self, named: str | None) -> None:
        """A question about the pile that the message names, if one waits, is the one it answers."""
        waiting = self.talk.waiting
        if named is None or waiting is None or waiting.pile in (None, named):
            return
        about = [f for f in self.talk.frames if f.pile == named and f.step is not None]
        self.talk.frames = [f for f in self.talk.frames if f not in about] + about

    def _drop_held(self, named: str | None, opened: Dialogue | None) -> None:
        """Asked which pile was cold, the farmer may write the whole again: `B is cold`."""
        waiting = self.talk.waiting
        asks = waiting is not None and waiting.dialogue == WHICH_PILE and waiting.held is not None
        if waiting is not None and asks and named is not None and opened is not None:
            self.talk.frames.remove(waiting)

    def _without_question(self, opened: Dialogue | None) -> list[Saying]:
        if opened is not None:
            self.enter(opened)
        elif not self.talk.frames:
            if not self.world.joined():
                self.push(self.library.dialogues[ENROL], None)
            else:
                self.world.not_understood(self.meaning, None)
                self.common("not_understood")
        return self.settle()

    def _asks_first(self, dialogue: Dialogue) -> str:
        """The kind that a dialogue begins by asking for: who names a language while one is asked for answers."""
        return dialogue.steps[dialogue.first].expect

    def _is_aside(self, opened: Dialogue | None, frame: Frame, step: Step) -> bool:
        """A message that opens another dialogue and could be an answer too: MANURE 2x2x2 while a size is open."""
        carries = self.kinds[step.expect].carries or (
            opened is not None and opened.for_anyone and step.expect == LANGUAGE
        )
        topic = self.meaning.topic
        by_topic = opened is not None and topic is not None and any(o.topic == topic for o in opened.opens_on)
        return opened is not None and by_topic and carries and opened.dialogue != frame.dialogue

    def _wants_to_leave(self, meaning: Meaning) -> bool:
        return meaning.word in LEAVING_WORDS or meaning.answer == "later"

    def _missed(self, frame: Frame, step: Step) -> list[Saying]:
        if self._note_said(frame, step):
            self.common("heard")
            self.say(step.shortly or step.ask, frame, frame.step)
            return self.says
        self.world.not_understood(self.meaning, step.expect)
        if step.lost and frame.misses + 1 >= MISSES_BEFORE_LOST:
            frame.misses = 0
            self.go(frame, step.lost, "two answers were not understood")
            return self.settle()
        if self._count_miss(frame):
            self.say(step.shortly or step.ask, frame, frame.step)
        elif step.again:
            self.say(step.again, frame, frame.step)
        else:
            self.say(self.library.common.again[step.expect], None, f"again {step.expect}")
        return self.says

    def _count_miss(self, frame: Frame) -> bool:
        """Whether it is one too many, so that the trainer is offered."""
        frame.misses += 1
        if frame.misses < MISSES_BEFORE_HELP:
            return False
        frame.misses = 0
        self.common("stuck")
        return True

    # -- answers

    def _answer(self, step: Step, meaning: Meaning) -> Value | None:
        kind = self.kinds[step.expect]
        if kind.own:
            return self.world.own_answer(kind.name, meaning)
        assert kind.take is not None
        value = kind.take(meaning)
        if kind.values and value not in kind.values:
            value = None  # LATER is neither yes nor no
        # `turned it, warm` answers how warm it was; to a yes or no, DONE says both.
        tells = value in kind.values and kind.reads != "yesno"
        if meaning.word in step.answers and not tells:
            return meaning.word
        if value is None and meaning.answer in step.answers:
            return meaning.answer
        return self._by_number(step, kind, meaning) if value is None else value

    def _by_number(self, step: Step, kind: ValueKind, meaning: Meaning) -> Value | None:
        """`2` picks the second of the answers offered."""
        # Words such as DONE that a question takes besides are not among the numbered ones.
        told = [answer for answer in step.answers if answer in kind.values]
        choices = told if len(told) == len(kind.values) else list(kind.values)
        number = meaning.number
        if not kind.values or number is None or number != int(number) or not 1 <= number <= len(choices):
            return None
        return choices[int(number) - 1]

    def _note_said(self, frame: Frame, asked: Step) -> bool:
        """Keep what this message says beyond the open question, for questions still to come."""
        noted = self._for_later(frame, asked)
        frame.said.update(noted)
        return bool(noted)

    def _for_later(self, frame: Frame, asked: Step) -> dict[str, Value]:
        """What this message says that the open dialogue asks for at a step further on in its file, by kind."""
        steps = list(self.library.dialogues[frame.dialogue].steps.items())
        place = next(n for n, (name, _) in enumerate(steps) if name == frame.step)
        wanted = {step.expect for _, step in steps[place + 1 :] if step.ask}
        said = dict(self._carried(self.meaning))
        return {kind: value for kind, value in said.items() if kind in wanted and kind != asked.expect}

    def _carried(self, meaning: Meaning) -> Iterator[tuple[str, Value]]:
        for kind in self.kinds.values():
            if kind.carries and kind.take is not None and (value := kind.take(meaning)) is not None:
                yield kind.name, value

    def _answers(self, frame: Frame, step: Step, value: Value) -> list[Saying]:
        unsure = frame.pile in self.several and self.world.named_pile(self.meaning) is None
        if unsure and WHICH_PILE in self.library.dialogues:
            self._ask_which_pile()
            return self.settle()
        self._note_said(frame, step)
        self._answered(frame, step, value)
        return self.settle()

    def _answered(self, frame: Frame, step: Step, value: Value) -> None:
        frame.misses = 0
        self.world.answered(step.expect, value)
        is_word = (
            isinstance(value, str) and value in step.answers and value not in self.kinds[step.expect].values
        )
        if step.keep and not is_word:
            self.keep(step.keep, value, frame)
        target = step.answers.get(value) if isinstance(value, str) else None
        why = f"the answer to {frame.dialogue}.{frame.step} is {self._plain(value)}"
        if target is None:
            target, more = self.next(step, frame)
            why = f"{why}, {more}"
        self.go(frame, target, why)

    # -- opening

    def enter(self, dialogue: Dialogue) -> None:
        """Open what the message asks for; people who have not joined are enrolled first, and lose nothing."""
        allowed = dialogue.for_anyone or self.world.joined()
        joining = [] if allowed else [f for f in self.talk.frames if f.dialogue == ENROL]
        self.talk.frames = [f for f in self.talk.frames if f not in joining]
        self.path.append(f"{dialogue.dialogue} opens: {self._what_opens(dialogue)}")
        self._open(dialogue)
        if joining:
            self.talk.frames += joining
            self.last_word = False
        elif not allowed:
            self.push(self.library.dialogues[ENROL], None)

    def _what_opens(self, dialogue: Dialogue) -> str:
        for opening in dialogue.opens_on:
            if opening.topic and opening.topic == self.meaning.topic:
                return f"the message is about {opening.topic}"
            if opening.word and opening.word == self.meaning.word:
                return f"the message says {opening.word}"
            if opening.has and getattr(self.meaning, opening.has) not in (None, ()):
                return f"the message tells {opening.has}"
        return "the message asks for it"

    def _open(self, dialogue: Dialogue) -> None:
        """Open a dialogue about the pile that is meant; ask first when that is not clear."""
        piles, named = self.world.piles_for(dialogue.of_a_pile), self.world.named_pile(self.meaning)
        if named is not None and dialogue.of_a_pile and named not in self.world.piles_for("any"):
            self.common("no_such_pile")
            named = None
        spoken_of = [self._open_about(), self.world.last_pile()]
        likely = next((p for p in spoken_of if p in piles), None)
        if named is not None:
            self.push(dialogue, named if named in piles else None, named)
        elif dialogue.of_a_pile == "built" and len(piles) > 1 and likely is None and self._can_ask():
            self._ask_which_pile()
        elif dialogue.of_a_pile in ("any", "built"):
            self.push(dialogue, likely or next(iter(piles), None))
        else:
            self.push(dialogue, next(iter(piles), None))

    def _can_ask(self) -> bool:
        return WHICH_PILE in self.library.dialogues

    def _open_about(self) -> str | None:
        """The pile that the open question is about, if it is about one."""
        waiting = self.talk.waiting
        return None if waiting is None or waiting.pile in self.several else waiting.pile

    def _ask_which_pile(self) -> None:
        frame = self.begin(self.library.dialogues[WHICH_PILE], None)
        frame.held = msgspec.to_builtins(self.meaning)

    def push(self, dialogue: Dialogue, pile: str | None, named: str | None = None) -> None:
        """Begin a dialogue about a pile, or the one for a farmer who has none that fits."""
        report = dialogue.of_a_pile == "built" and pile is None
        if dialogue.of_a_pile and pile is None:
            dialogue = self.library.dialogues[dialogue.without_pile]
            pile = named or next(iter(self.world.piles_for("any")), None)
        waiting = self.talk.waiting
        if (
            report
            and waiting is not None
            and waiting.dialogue != dialogue.dialogue
            and self._describes(waiting)
        ):
            waiting.held = msgspec.to_builtins(self.meaning)
            self._count_miss(waiting)
            return
        frame = self.begin(dialogue, pile)
        frame.said = dict(self._carried(self.meaning))
        if report and dialogue.keeps_report:
            frame.held = msgspec.to_builtins(self.meaning)

    def _describes(self, frame: Frame) -> bool:
        """Whether a farmer is telling there of the pile that a report is about: it waits until that is done."""
        return self.library.dialogues[frame.dialogue].keeps_report

    def ended(self, frame: Frame) -> None:
        """Take up the message that waited until its pile was known."""
        super().ended(frame)
        if frame.held is None or frame.pile not in self.world.piles_for("built"):
            return
        self.meaning = msgspec.structs.replace(msgspec.convert(frame.held, Meaning), pile=frame.pile)
        self.several = []
        self.world.hear(self.meaning)
        self._hear()
