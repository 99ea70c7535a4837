"""Runs dialogues step by step within one turn, and collects what is said."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bot.dialogue.checks import PLACEHOLDER
from bot.dialogue.schema import END, OPEN, Branch, Dialogue, Step
from bot.dialogue.state import Conversation, Frame
from bot.dialogue.turn import Filled, Saying, World
from bot.dialogue.vocabulary import Value

if TYPE_CHECKING:
    from bot.dialogue.engine import Engine

ENROL = "enrol"
"""The dialogue that people who have not joined are led to."""
MEND = "mend"
"""The dialogue that asks anew what a computation cannot count with."""
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


class Running:
    """One turn: frames are run from step to step until a question waits or nothing does."""

    def __init__(self, engine: Engine, talk: Conversation, world: World) -> None:
        self.engine, self.talk, self.world = engine, talk, world
        self.library, self.kinds = engine.library, engine.vocabulary.kinds
        self.says: list[Saying] = []
        self.path: list[str] = []
        self.steps_left = STEP_LIMIT
        self.last_word = False
        self._drop_frames_of_lost_piles()

    def begin(self, dialogue: Dialogue, pile: str | None) -> Frame:
        """A new frame on top. One of the same dialogue about the same pile begins anew, with all above it."""
        same = [
            n for n, f in enumerate(self.talk.frames)
            if f.dialogue == dialogue.dialogue and (f.pile == pile or not dialogue.of_a_pile)
        ]  # fmt: skip
        if same:
            del self.talk.frames[same[0] :]
        self.last_word = dialogue.last_word
        frame = Frame(dialogue=dialogue.dialogue, version=dialogue.version, pile=pile)
        self.talk.frames.append(frame)
        del self.talk.frames[: -DEEPEST - 1]
        return frame

    def settle(self) -> list[Saying]:
        """Run the waiting frame until something is asked or nothing waits."""
        started: Frame | None = None
        while (frame := self._next_frame()) is not None:
            if frame.step is None:
                self.go(frame, self.library.dialogues[frame.dialogue].first, "it begins")
                started = frame
                continue
            if frame is not started and not self.last_word and not self._just_asked(frame):
                step = self.library.dialogues[frame.dialogue].steps[frame.step]
                self.path.append(f"{frame.dialogue}.{frame.step}: it still waits for an answer")
                self.say(step.shortly or step.ask, frame, frame.step)
            break
        self._let_go(started)
        return self.says

    def _drop_frames_of_lost_piles(self) -> None:
        """Of a pile that was used up, stolen or taken back nothing is asked any more."""
        about = {frame.pile for frame in self.talk.frames} - {None}
        if about and (lost := about - set(self.world.piles_for("any"))):
            self.talk.frames = [frame for frame in self.talk.frames if frame.pile not in lost]

    def _next_frame(self) -> Frame | None:
        """The frame on top. Who has refused to join, or left the questions about it, goes on with nothing."""
        self._drop_frames_of_lost_piles()
        if not self.world.joined() and all(f.dialogue != ENROL for f in self.talk.frames):
            self.talk.frames = [f for f in self.talk.frames if self.library.dialogues[f.dialogue].for_anyone]
        return self.talk.waiting

    def _let_go(self, started: Frame | None) -> None:
        """A small question (of a reminder, of a one-line answer) is forgotten when a new one takes its place."""
        if started is not None and self.talk.waiting is not None:
            waiting = self.talk.waiting
            self.talk.frames = [f for f in self.talk.frames if f is waiting or self.engine.keeps(f)]

    def _just_asked(self, frame: Frame) -> bool:
        last = self.says[-1] if self.says else None
        return last is not None and (last.dialogue, last.step, last.pile or frame.pile) == (
            frame.dialogue, frame.step, frame.pile,
        )  # fmt: skip

    def go(self, frame: Frame, target: str, why: str) -> None:
        """Run from a target until a question is put or the dialogue ends. why : for the record."""
        while True:
            self.steps_left -= 1
            if self.steps_left < 0:
                raise DialogueCircle(f"dialogue {frame.dialogue}, step {frame.step}: round and round")
            if target == END:
                self.talk.frames.remove(frame)
                self.ended(frame)
                return
            if target.startswith(OPEN):
                self._replace(frame, target.removeprefix(OPEN), why)
                return
            frame.step = target
            self.path.append(f"{frame.dialogue}.{target}: {why}")
            step = self.library.dialogues[frame.dialogue].steps[target]
            try:
                self._do(frame, step)
            except self.engine.vocabulary.refusals as exc:
                self._mend(frame, exc)
                return
            if step.ask:
                value = self._known_answer(frame, step)
                if value is None:
                    self.say(step.ask, frame, frame.step)
                    return
                if step.keep:
                    self.keep(step.keep, value, frame)
                chosen = step.answers.get(value) if isinstance(value, str) else None
                target, why = (chosen, f"{value} was known") if chosen else self.next(step, frame)
            else:
                target, why = self.next(step, frame)

    def ended(self, frame: Frame) -> None:
        """A dialogue has come to its end; what is said last of all may be."""
        self.last_word = self.last_word or self.library.dialogues[frame.dialogue].last_word

    def _replace(self, frame: Frame, name: str, why: str) -> None:
        dialogue = self.library.dialogues[name]
        held = frame.held if dialogue.keeps_report else None
        new = Frame(dialogue=name, version=dialogue.version, pile=frame.pile, said=frame.said, held=held)
        # One that waits below is begun anew here, not gone through twice.
        others = [f for f in self.talk.frames if f is frame or (f.dialogue, f.pile) != (name, frame.pile)]
        self.talk.frames = [new if f is frame else f for f in others]
        self.go(new, dialogue.first, f"{frame.dialogue}.{frame.step} opens it, {why}")

    def _mend(self, frame: Frame, exc: Exception) -> None:
        """What is known of the pile cannot be counted with: it is asked anew. Raises `exc` without a dialogue for it."""
        if MEND not in self.library.dialogues or frame.pile is None:
            raise exc
        self._replace(frame, MEND, f"what is known cannot be counted with ({exc})")

    def _known_answer(self, frame: Frame, step: Step) -> Value | None:
        if step.unless_known and (value := self.fact(step.unless_known, frame)) is not None:
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
            self.keep(fact, self.fact(value, frame) if known else value, frame)
        for fact in step.forget:
            self.keep(fact, None, frame)
        for dialogue in step.cancel:
            self.world.cancel(dialogue, frame)
        self.talk.frames = [
            f for f in self.talk.frames if f is frame or f.pile != frame.pile or f.dialogue not in step.close
        ]
        for later in step.later:
            days = later.fixed if later.fixed is not None else self.fact(later.days, frame)
            self.world.schedule(later.open, int(days or 0), frame)
        if step.say:
            self.say(step.say, frame, frame.step)

    def _work_out(self, name: str, using: dict[str, str], frame: Frame) -> None:
        computation = self.engine.vocabulary.computations[name]
        inputs = {given: self.fact(fact, frame) for given, fact in using.items()}
        for given, quantity in computation.inputs.items():
            if not quantity.optional and inputs.get(given) is None:
                raise Missing(frame.dialogue, frame.step or "", using.get(given, given))
        frame.worked[name] = {given: value for given, value in inputs.items() if value is not None}
        for output, value in computation.run(**inputs).items():
            frame.facts[f"{name}.{output}"] = value

    def next(self, step: Step, frame: Frame) -> tuple[str, str]:
        """Where a step leads, and why."""
        if isinstance(step.then, str):
            return step.then, "it follows"
        for branch in step.then:
            if self._holds(branch, frame):
                return branch.go, self._reason(branch, frame)
        return END, "nothing else holds"

    def _reason(self, branch: Branch, frame: Frame) -> str:
        found = [f"{fact} is {self._plain(self.fact(fact, frame))}" for fact in branch.when]
        return " and ".join(found) or "nothing before it holds"

    @staticmethod
    def _plain(value: Value | None) -> str:
        if value is None:
            return "unknown"
        return str(value) if isinstance(value, (str, int, float)) else "known"

    def _holds(self, branch: Branch, frame: Frame) -> bool:
        return all(self._matches(self.fact(f, frame), wanted) for f, wanted in branch.when.items())

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

    def fact(self, name: str, frame: Frame) -> Value | None:
        if name in frame.facts:
            return frame.facts[name]
        return self.world.fact(name, frame)

    def keep(self, name: str, value: Value | None, frame: Frame) -> None:
        if name.startswith("talk."):
            frame.facts[name] = value
        else:
            self.world.keep(name, value, frame)

    # -- saying

    def common(self, name: str) -> None:
        self.say(self.library.common.texts[name], None, name)

    def say(self, text: str, frame: Frame | None, step: str | None) -> None:
        values = {}
        for name in PLACEHOLDER.findall(text):
            value = self.fact(name, frame) if frame else self.world.fact(name, None)
            if value is None:
                raise Missing(frame.dialogue if frame else "common", step or "", name)
            values[name] = Filled(self.engine.kind_of(name), value)
        dialogue = frame.dialogue if frame else "common"
        pile = frame.pile if frame and self.library.dialogues[frame.dialogue].of_a_pile else None
        # A copy: the computations of a later turn must not change what this one tells.
        worked = dict(frame.worked) if frame else {}
        self.says.append(
            Saying(
                text=text,
                values=values,
                dialogue=dialogue,
                step=step,
                pile=pile,
                path=tuple(self.path),
                worked=worked,
            )  # fmt: skip
        )
