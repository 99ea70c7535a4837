"""A small vocabulary about nothing in particular, so that the engine is tried without any compost."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bot.dialogue.engine import Engine
from bot.dialogue.library import Library
from bot.dialogue.state import Conversation, Frame
from bot.dialogue.turn import Saying
from bot.dialogue.vocabulary import Computation, Quantity, ValueKind, Vocabulary
from bot.reading.meaning import Meaning

FACTS = """\
facts:
  farmer.name: text
  farmer.answer: yesno
  pile.size: size
  talk.size: size
  talk.mood: {kind: term, values: [calm, wild]}
  talk.turns: days
"""
COMMON = """\
about: Common texts.
texts:
  left: Left.
  stuck: Still stuck.
  not_understood: What?
  go_on: Going on.
  put_aside: Put aside.
  updated: The questions have changed.
  pile_name: "Pile {bot.pile}:"
  no_such_pile: No such pile.
  last_reminder: The last one.
  from_trainer: "The trainer writes:"
  other_language: Another language? Write LANGUAGE.
  heard: Heard.
again:
  text: A few words please.
  size: Three numbers please.
  yesno: Yes or no please.
  word: One of the words please.
"""
ENROL = """\
dialogue: enrol
version: 1
about: Joining.
for_anyone: true
opens_on:
  - topic: join
steps:
  name:
    ask: Your name?
    expect: text
    keep: farmer.name
    then: joined
  joined:
    do: [join]
    say: "Welcome, {farmer.name}."
    then: end
"""


def kind_of(name: str, field: str, *values: str, carries: bool = False) -> ValueKind:
    return ValueKind(
        name=name, values=values, reads=name, carries=carries, take=lambda meaning: getattr(meaning, field)
    )


def double(n: float) -> Mapping[str, Any]:
    return {"twice": n * 2, "verdict": "big" if n > 5 else "small"}


KINDS = (
    ValueKind(name="text", reads="text", take=lambda m: None if m.topic_alone else m.text),
    kind_of("size", "size_m", carries=True),
    kind_of("yesno", "answer", "yes", "no"),
    ValueKind(name="word", reads="word", take=lambda m: None, offered=True),
    *(ValueKind(name=name) for name in ("number", "days", "term", "date")),
)
VOCABULARY = Vocabulary(
    kinds={kind.name: kind for kind in KINDS},
    computations={
        "double": Computation(
            name="double",
            inputs={"n": Quantity(kind="number"), "extra": Quantity(kind="number", optional=True)},
            outputs={
                "twice": Quantity(kind="number"),
                "verdict": Quantity(kind="term", values=("small", "big")),
                "days": Quantity(kind="days"),
            },
            run=double,
        )
    },
    actions=frozenset({"join", "ring", "fail"}),
    topics=frozenset({"join", "plan", "help", "stop", "manure"}),
    reply_words=frozenset({"done", "back", "skip", "yes", "no", "later"}),
    given={
        "bot.count": Quantity(kind="number"),
        "bot.pile": Quantity(kind="text", optional=True),
        "message.size_m": Quantity(kind="size", optional=True),
    },
)


class SmallWorld:
    """Keeps facts in a dictionary and writes down what is done to it."""

    def __init__(self, joined: bool = True, **facts: Any) -> None:
        self.facts: dict[str, Any] = {"bot.count": 3, **{k.replace("__", "."): v for k, v in facts.items()}}
        self.has_joined, self.done = joined, list[Any]()
        self.piles: list[str] = ["A"]
        self.spoken_of: str | None = None
        self.missed: list[str | None] = []

    def fact(self, name: str, frame: Frame | None) -> Any:
        return self.facts.get(name)

    def keep(self, name: str, value: Any, frame: Frame) -> None:
        self.facts[name] = value

    def act(self, action: str, frame: Frame) -> None:
        if action == "fail":
            raise LookupError("the action failed")
        self.has_joined = self.has_joined or action == "join"
        self.done.append(action)

    def schedule(self, dialogue: str, days: int, frame: Frame) -> None:
        self.done.append(("later", dialogue, days))

    def cancel(self, dialogue: str, frame: Frame) -> None:
        self.done.append(("cancel", dialogue))

    def answered(self, kind: str, value: Any) -> None:
        self.done.append(("answered", kind, value))

    def hear(self, meaning: Meaning) -> None:
        self.done.append(("hear", meaning.text))

    def piles_for(self, need: str) -> list[str]:
        return self.piles

    def named_pile(self, meaning: Meaning) -> str | None:
        return meaning.pile

    def last_pile(self) -> str | None:
        return self.spoken_of

    def own_answer(self, kind: str, meaning: Meaning) -> Any:
        return meaning.text if meaning.text in self.piles else None

    def joined(self) -> bool:
        return self.has_joined

    def not_understood(self, meaning: Meaning, expect: str | None) -> None:
        self.missed.append(expect)


class Talk:
    """A conversation with one farmer; what is said comes back as source texts."""

    def __init__(self, library: Library, world: SmallWorld) -> None:
        self.engine, self.world, self.state = Engine(library, VOCABULARY), world, Conversation()

    def hears(self, text: str = "hm", **meant: Any) -> list[str]:
        return texts(self.engine.take(self.state, Meaning(text=text, **meant), self.world))

    def opens(self, dialogue: str) -> list[str]:
        return texts(self.engine.open(self.state, dialogue, self.world, "A"))

    @property
    def waiting(self) -> tuple[str, str | None] | None:
        frame = self.state.waiting
        return (frame.dialogue, frame.step) if frame else None


def texts(says: list[Saying]) -> list[str]:
    return [saying.text for saying in says]
