"""Moves a conversation by one message, one reminder, or one silence."""

from __future__ import annotations

from collections.abc import Iterator

from bot.dialogue.checks import PLACEHOLDER
from bot.dialogue.library import Library
from bot.dialogue.schema import END, OPEN, Branch, Dialogue, Step
from bot.dialogue.state import Conversation, Frame
from bot.dialogue.turn import Filled, Saying, World
from bot.dialogue.vocabulary import Value, ValueKind, Vocabulary
from bot.reading.meaning import Kind, Meaning

ENROL = "enrol"
"""The dialogue that people who have not joined are led to."""
LEAVING_WORDS = ("skip",)
MISSES_BEFORE_HELP = 3
DEEPEST = 3
"""Dialogues that may wait under the open one; beyond it the oldest is let go."""
STEP_LIMIT = 200
"""Steps without a question in one turn: more is a circle in the dialogue files."""


class DialogueCircle(Exception):
    """Dialogue files that lead round in a circle without asking anything."""


class Missing(Exception):
    """A text names a fact that has no value here. Keeps dialogue, step and fact."""

    def __init__(self, dialogue: str, step: str, fact: str) -> None:
        self.dialogue, self.step, self.fact = dialogue, step, fact
        super().__init__(f"dialogue {dialogue}, step {step}: {fact} has no value")


class Engine:
    """Runs the dialogues of a library. Keeps nothing between calls: state comes and goes as arguments."""

    def __init__(self, library: Library, vocabulary: Vocabulary) -> None:
        self.library, self.vocabulary = library, vocabulary

    def expects(self, talk: Conversation) -> tuple[Kind | None, tuple[str, ...]]:
        """What the reader should look for: the kind of the open question and the reply words it offers."""
        step = self._open_step(talk)
        if step is None:
            return None, ()
        kind = self.vocabulary.kinds[step.expect]
        words = tuple(a for a in step.answers if a not in kind.values)
        return kind.reads, words  # type: ignore[return-value]  # checked against Kind when the library is read

    def take(self, talk: Conversation, meaning: Meaning, world: World) -> list[Saying]:
        """A farmer's message. Changes `talk` and `world`; returns what to say."""
        return _Turn(self, talk, world, meaning).take()

    def open(self, talk: Conversation, dialogue: str, world: World, pile: str | None) -> list[Saying]:
        """A dialogue that opens by itself (a reminder). It replaces older reminders that still wait."""
        turn = _Turn(self, talk, world, None)
        talk.frames = [f for f in talk.frames if f.dialogue in self.library.dialogues and self._may_wait(f)]
        turn.push(self.library.dialogues[dialogue], pile)
        return turn.settle()

    def ask_again(self, talk: Conversation, world: World) -> list[Saying]:
        """After silence: the open question once more, if it is one that may wait; else nothing."""
        step = self._open_step(talk)
        if step is None or talk.waiting is None or not self._may_wait(talk.waiting):
            return []
        turn = _Turn(self, talk, world, None)
        turn.common("go_on")
        turn.ask(talk.waiting, step)
        return turn.says

    def put_aside(self, talk: Conversation, world: World) -> list[Saying]:
        """After long silence: close what waits, politely if it was a question that had been repeated."""
        waits = talk.waiting is not None and self._may_wait(talk.waiting)
        talk.frames.clear()
        turn = _Turn(self, talk, world, None)
        if waits:
            turn.common("put_aside")
        return turn.says

    def may_wait(self, talk: Conversation) -> bool:
        """Whether a question waits that is put again after silence."""
        return self._open_step(talk) is not None and talk.waiting is not None and self._may_wait(talk.waiting)

    def _may_wait(self, frame: Frame) -> bool:
        return self.library.dialogues[frame.dialogue].may_wait

    def _open_step(self, talk: Conversation) -> Step | None:
        frame = talk.waiting
        if frame is None or frame.step is None or frame.dialogue not in self.library.dialogues:
            return None
        return self.library.dialogues[frame.dialogue].steps.get(frame.step)


class _Turn:
    """One turn: collects what is said while frames are run."""

    def __init__(self, engine: Engine, talk: Conversation, world: World, meaning: Meaning | None) -> None:
        self.engine, self.talk, self.world, self.meaning = engine, talk, world, meaning
        self.library, self.kinds = engine.library, engine.vocabulary.kinds
        self.says: list[Saying] = []
        self.steps_left = STEP_LIMIT
        self.last_word = False

    def take(self) -> list[Saying]:
        assert self.meaning is not None
        meaning = self.meaning
        self._drop_lost_frames()
        urgent = self.library.opened_by(meaning, at_any_moment=True)
        opened = urgent or self.library.opened_by(meaning)
        frame, step = self.talk.waiting, self.engine._open_step(self.talk)
        if frame is None or step is None:
            return self._without_question(opened)
        same = urgent is not None and self._asks_first(urgent) == step.expect
        if same or (urgent is None and not self._is_aside(opened, frame, step)):
            answer = self._answer(step, meaning)
            if answer is not None:
                self._note_said(frame, step)
                self._answered(frame, step, answer)
                return self.settle()
            if opened is None and self._wants_to_leave(meaning):
                self.talk.frames.pop()
                self.common("left")
                return self.settle()
        if opened is not None:
            self.enter(opened)
            return self.settle()
        return self._missed(frame, step)

    def _drop_lost_frames(self) -> None:
        """A dialogue file may have changed since: steps that are gone are begun again at the start."""
        kept = [f for f in self.talk.frames if f.dialogue in self.library.dialogues]
        for frame in kept:
            dialogue = self.library.dialogues[frame.dialogue]
            if frame.step is not None and frame.step not in dialogue.steps:
                frame.step, frame.version, frame.facts = None, dialogue.version, {}
        if len(kept) != len(self.talk.frames):
            self.common("updated")
        self.talk.frames = kept

    def _without_question(self, opened: Dialogue | None) -> list[Saying]:
        assert self.meaning is not None
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
        carries = self.kinds[step.expect].carries
        topic = self.meaning.topic if self.meaning else None
        by_topic = opened is not None and topic is not None and any(o.topic == topic for o in opened.opens_on)
        return opened is not None and by_topic and carries and opened.dialogue != frame.dialogue

    def _wants_to_leave(self, meaning: Meaning) -> bool:
        return meaning.word in LEAVING_WORDS or meaning.answer == "later"

    def _missed(self, frame: Frame, step: Step) -> list[Saying]:
        assert self.meaning is not None
        if self._note_said(frame, step):
            self._say(step.shortly or step.ask, frame, frame.step)
            return self.says
        self.world.not_understood(self.meaning, step.expect)
        frame.misses += 1
        if frame.misses >= MISSES_BEFORE_HELP:
            frame.misses = 0
            self.common("stuck")
            self._say(step.shortly or step.ask, frame, frame.step)
        elif step.again:
            self._say(step.again, frame, frame.step)
        else:
            self.common_again(step.expect)
        return self.says

    # -- answers

    def _answer(self, step: Step, meaning: Meaning) -> Value | None:
        kind = self.kinds[step.expect]
        assert kind.take is not None
        if meaning.word in step.answers:
            return meaning.word
        value = kind.take(meaning)
        if value is None and meaning.answer in step.answers:
            return meaning.answer
        return self._by_number(step, kind, meaning) if value is None else value

    def _by_number(self, step: Step, kind: ValueKind, meaning: Meaning) -> Value | None:
        """`2` picks the second of the answers offered."""
        choices = list(step.answers) or list(kind.values)
        number = meaning.number
        if not kind.values or number is None or number != int(number) or not 1 <= number <= len(choices):
            return None
        return choices[int(number) - 1]

    def _note_said(self, frame: Frame, asked: Step) -> bool:
        """Keep what this message says beyond the open question, for questions still to come."""
        assert self.meaning is not None
        noted = dict(self._carried(self.meaning))
        noted.pop(asked.expect, None)
        wanted = {s.expect for s in self.library.dialogues[frame.dialogue].steps.values() if s.ask}
        noted = {kind: value for kind, value in noted.items() if kind in wanted}
        frame.said.update(noted)
        return bool(noted)

    def _carried(self, meaning: Meaning) -> Iterator[tuple[str, Value]]:
        for kind in self.kinds.values():
            if kind.carries and kind.take is not None and (value := kind.take(meaning)) is not None:
                yield kind.name, value

    def _answered(self, frame: Frame, step: Step, value: Value) -> None:
        frame.misses = 0
        self.world.answered(step.expect, value)
        is_word = (
            isinstance(value, str) and value in step.answers and value not in self.kinds[step.expect].values
        )
        if step.keep and not is_word:
            self._keep(step.keep, value, frame)
        target = step.answers.get(value) if isinstance(value, str) else None
        self.go(frame, target or self._next(step, frame))

    # -- frames

    def enter(self, dialogue: Dialogue) -> None:
        """Open what the message asks for; people who have not joined are enrolled first, and lose nothing."""
        allowed = dialogue.for_anyone or self.world.joined()
        joining = [] if allowed else [f for f in self.talk.frames if f.dialogue == ENROL]
        self.talk.frames = [f for f in self.talk.frames if f not in joining]
        self.push(dialogue, self.world.pile_for(self.meaning, dialogue.of_a_pile == "built"))
        if joining:
            self.talk.frames += joining
        elif not allowed:
            self.push(self.library.dialogues[ENROL], None)

    def push(self, dialogue: Dialogue, pile: str | None) -> None:
        if dialogue.of_a_pile and pile is None:
            dialogue, pile = (
                self.library.dialogues[dialogue.without_pile],
                self.world.pile_for(self.meaning, False),
            )
        names = [f.dialogue for f in self.talk.frames]
        if dialogue.dialogue in names:
            del self.talk.frames[names.index(dialogue.dialogue) :]
        self.last_word = dialogue.last_word
        frame = Frame(dialogue=dialogue.dialogue, version=dialogue.version, pile=pile)
        if self.meaning is not None:
            frame.said = dict(self._carried(self.meaning))
        self.talk.frames.append(frame)
        del self.talk.frames[: -DEEPEST - 1]

    def settle(self) -> list[Saying]:
        """Run the waiting frame until something is asked or nothing waits."""
        started: Frame | None = None
        while (frame := self.talk.waiting) is not None:
            if frame.step is None:
                self.go(frame, self.library.dialogues[frame.dialogue].first)
                started = frame
                continue
            if frame is not started and not self.last_word and not self._just_asked(frame):
                step = self.library.dialogues[frame.dialogue].steps[frame.step]
                self._say(step.shortly or step.ask, frame, frame.step)
            break
        self._let_go(started)
        return self.says

    def _let_go(self, started: Frame | None) -> None:
        """A small question (of a reminder, of a one-line answer) is forgotten when a new one takes its place."""
        if started is not None and self.talk.waiting is not None:
            waiting = self.talk.waiting
            self.talk.frames = [f for f in self.talk.frames if f is waiting or self.engine._may_wait(f)]

    def _just_asked(self, frame: Frame) -> bool:
        return bool(self.says) and (self.says[-1].dialogue, self.says[-1].step) == (
            frame.dialogue,
            frame.step,
        )

    def go(self, frame: Frame, target: str) -> None:
        """Run from a target until a question is put or the dialogue ends."""
        while True:
            self.steps_left -= 1
            if self.steps_left < 0:
                raise DialogueCircle(f"dialogue {frame.dialogue}, step {frame.step}: round and round")
            if target == END:
                self.talk.frames.remove(frame)
                return
            if target.startswith(OPEN):
                self._replace(frame, target.removeprefix(OPEN))
                return
            frame.step = target
            step = self.library.dialogues[frame.dialogue].steps[target]
            self._do(frame, step)
            if step.ask:
                value = self._known_answer(frame, step)
                if value is None:
                    self.ask(frame, step)
                    return
                if step.keep:
                    self._keep(step.keep, value, frame)
                chosen = step.answers.get(value) if isinstance(value, str) else None
                target = chosen or self._next(step, frame)
            else:
                target = self._next(step, frame)

    def _replace(self, frame: Frame, name: str) -> None:
        dialogue = self.library.dialogues[name]
        new = Frame(dialogue=name, version=dialogue.version, pile=frame.pile, said=frame.said)
        # One that waits below is begun anew here, not gone through twice.
        others = [f for f in self.talk.frames if f is frame or f.dialogue != name]
        self.talk.frames = [new if f is frame else f for f in others]
        self.go(new, dialogue.first)

    def _known_answer(self, frame: Frame, step: Step) -> Value | None:
        if step.unless_known and (value := self._fact(step.unless_known, frame)) is not None:
            return value
        return frame.said.pop(step.expect, None)

    def _do(self, frame: Frame, step: Step) -> None:
        for action in step.do:
            self.world.act(action, frame)
        for work in step.work_out:
            for name, using in work.items():
                self._work_out(name, using, frame)
        for fact, value in step.set.items():
            known = value in self.engine.library.facts or value in frame.facts
            self._keep(fact, self._fact(value, frame) if known else value, frame)
        for fact in step.forget:
            self._keep(fact, None, frame)
        for dialogue in step.cancel:
            self.world.cancel(dialogue, frame)
        self.talk.frames = [
            f for f in self.talk.frames if f is frame or f.pile != frame.pile or f.dialogue not in step.close
        ]
        for later in step.later:
            days = later.fixed if later.fixed is not None else self._fact(later.days, frame)
            self.world.schedule(later.open, int(days or 0), frame)
        if step.say:
            self._say(step.say, frame, frame.step)

    def _work_out(self, name: str, using: dict[str, str], frame: Frame) -> None:
        computation = self.engine.vocabulary.computations[name]
        inputs = {given: self._fact(fact, frame) for given, fact in using.items()}
        for given, quantity in computation.inputs.items():
            if not quantity.optional and inputs.get(given) is None:
                raise Missing(frame.dialogue, frame.step or "", using.get(given, given))
        for output, value in computation.run(**inputs).items():
            frame.facts[f"{name}.{output}"] = value

    def _next(self, step: Step, frame: Frame) -> str:
        if isinstance(step.then, str):
            return step.then
        for branch in step.then:
            if self._holds(branch, frame):
                return branch.go
        return END

    def _holds(self, branch: Branch, frame: Frame) -> bool:
        return all(self._matches(self._fact(f, frame), wanted) for f, wanted in branch.when.items())

    @staticmethod
    def _matches(value: Value | None, wanted: str | list[str]) -> bool:
        known = value is not None and value != [] and value != ""
        text = "yes" if value is True else "no" if value is False else value
        for want in [wanted] if isinstance(wanted, str) else wanted:
            if want in ("known", "unknown"):
                if known == (want == "known"):
                    return True
            elif text == want:
                return True
        return False

    # -- facts

    def _fact(self, name: str, frame: Frame) -> Value | None:
        if name in frame.facts:
            return frame.facts[name]
        return self.world.fact(name, frame)

    def _keep(self, name: str, value: Value | None, frame: Frame) -> None:
        if name.startswith("talk."):
            frame.facts[name] = value
        else:
            self.world.keep(name, value, frame)

    # -- saying

    def ask(self, frame: Frame, step: Step) -> None:
        self._say(step.ask, frame, frame.step)

    def common(self, name: str) -> None:
        self._say(self.library.common.texts[name], None, name)

    def common_again(self, kind: str) -> None:
        self._say(self.library.common.again[kind], None, f"again {kind}")

    def _say(self, text: str, frame: Frame | None, step: str | None) -> None:
        values = {}
        for name in PLACEHOLDER.findall(text):
            value = self._fact(name, frame) if frame else self.world.fact(name, None)
            if value is None:
                raise Missing(frame.dialogue if frame else "common", step or "", name)
            values[name] = Filled(self._kind_of(name), value)
        dialogue = frame.dialogue if frame else "common"
        pile = frame.pile if frame and self.library.dialogues[frame.dialogue].of_a_pile else None
        self.says.append(Saying(text=text, values=values, dialogue=dialogue, step=step, pile=pile))

    def _kind_of(self, name: str) -> str:
        if name in self.library.facts:
            return self.library.facts[name].kind
        computation, output = name.split(".", 1)
        return self.engine.vocabulary.computations[computation].outputs[output].kind
