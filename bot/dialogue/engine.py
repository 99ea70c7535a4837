"""Moves a conversation by one message, one reminder, or one silence."""

from __future__ import annotations

from bot.dialogue.checks import PLACEHOLDER
from bot.dialogue.hearing import Hearing
from bot.dialogue.library import Library
from bot.dialogue.running import DialogueCircle, Missing, Running
from bot.dialogue.schema import Step
from bot.dialogue.state import Conversation, Frame
from bot.dialogue.turn import Saying, World
from bot.dialogue.vocabulary import Vocabulary
from bot.reading.meaning import Kind, Meaning

MOVED = -1
"""The version of a frame that comes from another step: whether it fits there is to be looked at."""
__all__ = ["DialogueCircle", "Engine", "Missing"]


class Engine:
    """Runs the dialogues of a library. Keeps nothing between calls: state comes and goes as arguments."""

    def __init__(self, library: Library, vocabulary: Vocabulary) -> None:
        self.library, self.vocabulary = library, vocabulary

    def expects(self, talk: Conversation) -> tuple[Kind | None, tuple[str, ...]]:
        """What the reader should look for: the kind of the open question, the reply words and what else it offers."""
        self.update(talk)
        step = self.open_step(talk)
        if step is None:
            return None, ()
        kind = self.vocabulary.kinds[step.expect]
        words = tuple(a for a in step.answers if a not in kind.values)
        if step.among and talk.waiting is not None:
            words += tuple(talk.waiting.facts.get(step.among) or ())
        return kind.reads, words  # type: ignore[return-value]  # checked against Kind when the library is read

    def take(self, talk: Conversation, meaning: Meaning, world: World) -> list[Saying]:
        """A farmer's message. Changes `talk` and `world`; returns what to say."""
        return Hearing(self, talk, world, meaning).take()

    def open(
        self, talk: Conversation, dialogue: str, world: World, pile: str | None, *, also: bool = False
    ) -> list[Saying]:
        """A dialogue that opens by itself (a reminder). It replaces older reminders that still wait.

        also : it opens beside another that has just opened for another pile, and leaves that one's question.
        """
        turn = Running(self, talk, world)
        turn.path.append(f"{dialogue} opens by itself")
        self.update(talk)
        if not also:
            talk.frames = [f for f in talk.frames if self.keeps(f)]
            talk.asked_about = []
        waiting = list(talk.frames)
        turn.begin(self.library.dialogues[dialogue], pile)
        says = turn.settle()
        if also:
            talk.frames = [f for f in waiting if f not in talk.frames] + talk.frames
            says = self._shorter(talk, says, turn)
        self._note_asked(talk, also)
        return says

    def _shorter(self, talk: Conversation, says: list[Saying], turn: Running) -> list[Saying]:
        """All that is said of a second pile by the question's `also`, if it has one."""
        frame, step = talk.waiting, self.open_step(talk)
        if frame is None or step is None or not step.also or not says or says[-1].step != frame.step:
            return says
        turn.say(step.also, frame, frame.step)
        return [turn.says[-1]]

    def _note_asked(self, talk: Conversation, also: bool) -> None:
        pile = talk.waiting.pile if talk.waiting is not None else None
        before = talk.asked_about if also else []
        talk.asked_about = [*before, *([pile] if pile is not None and pile not in before else [])]

    def ask_again(self, talk: Conversation, world: World) -> list[Saying]:
        """After silence: the open question once more, if it is one that may wait; else nothing."""
        turn = Running(self, talk, world)
        if not self.may_wait(talk):
            return []
        turn.common("go_on")
        self._put(turn, "nobody answered")
        return turn.says

    def put_again(self, talk: Conversation, world: World) -> list[Saying]:
        """The question that waits, put in short; nothing when none waits."""
        turn = Running(self, talk, world)
        self.update(talk)
        self._put(turn, "it waits still")
        return turn.says

    def _put(self, turn: Running, why: str) -> None:
        frame, step = turn.talk.waiting, self.open_step(turn.talk)
        if frame is not None and step is not None:
            turn.path.append(f"{frame.dialogue}.{frame.step}: {why}")
            turn.say(step.ask, frame, frame.step)

    def put_aside(self, talk: Conversation, world: World) -> list[Saying]:
        """After long silence: close what waits, politely if it was a question that had been repeated."""
        waits = talk.waiting is not None and self.keeps(talk.waiting)
        talk.frames.clear()
        return self.common("put_aside", world) if waits else []

    def common(self, name: str, world: World) -> list[Saying]:
        """One of the common texts."""
        turn = Running(self, Conversation(), world)
        turn.common(name)
        return turn.says

    def may_wait(self, talk: Conversation) -> bool:
        """Whether a question waits that is put again after silence."""
        return self.open_step(talk) is not None and talk.waiting is not None and self.keeps(talk.waiting)

    def keeps(self, frame: Frame) -> bool:
        """Whether a dialogue may wait while others take their turn."""
        dialogue = self.library.dialogues.get(frame.dialogue)
        return dialogue is not None and dialogue.may_wait

    def open_step(self, talk: Conversation) -> Step | None:
        """The step whose question waits."""
        frame = talk.waiting
        if frame is None or frame.step is None or frame.dialogue not in self.library.dialogues:
            return None
        return self.library.dialogues[frame.dialogue].steps.get(frame.step)

    def kind_of(self, name: str) -> str:
        """The kind of a fact or of a result."""
        if name in self.library.facts:
            return self.library.facts[name].kind
        computation, output = name.split(".", 1)
        return self.vocabulary.computations[computation].outputs[output].kind

    # -- dialogue files that have changed since the farmer wrote

    def update(self, talk: Conversation) -> None:
        """Bring every frame to the dialogue files of today; notes it when one began anew or was let go.

        A step that was renamed is found by the migration notes, and the farmer notices nothing. One that is
        gone, or now says what this conversation cannot know, begins its dialogue anew.
        """
        kept = [f for f in talk.frames if self._moved(f)]
        lost, anew = len(kept) != len(talk.frames), [f for f in kept if not self._fits(f)]
        for frame in anew:
            self._restart(frame)
        talk.frames = kept
        talk.updated = talk.updated or lost or bool(anew)

    def _moved(self, frame: Frame) -> bool:
        """Whether the frame's dialogue is still there, if need be under its new name."""
        if (found := self.library.moved_step(frame.dialogue, frame.step)) != (frame.dialogue, frame.step):
            frame.dialogue, frame.step = found
            frame.version = MOVED
        return frame.dialogue in self.library.dialogues

    def _fits(self, frame: Frame) -> bool:
        """Whether the frame can go on where it is."""
        dialogue = self.library.dialogues[frame.dialogue]
        if frame.step is None or frame.version == dialogue.version and frame.step in dialogue.steps:
            return True
        step = dialogue.steps.get(frame.step)
        if step is None or not step.ask:
            return False
        worked = [
            n for _, text in step.texts() for n in PLACEHOLDER.findall(text) if n not in self.library.facts
        ]
        if any(name not in frame.facts for name in worked):
            return False
        frame.version = dialogue.version
        return True

    def _restart(self, frame: Frame) -> None:
        frame.step, frame.version = None, self.library.dialogues[frame.dialogue].version
        frame.facts, frame.misses = {}, 0
