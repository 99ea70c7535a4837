"""The shape of a dialogue file (docs/dialogues.md explains it to a trainer)."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import msgspec

from bot.datafile import Document, read_document

END = "end"
OPEN = "open "
TEXT_FIELDS = ("say", "ask", "again", "shortly", "also")


class Opening(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One way in: a topic, a reply word, or something that the message holds."""

    topic: str | None = None
    word: str | None = None
    has: str | None = None


class Branch(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """`when` all these facts have these values, `go`. Without `when`: otherwise."""

    go: str
    when: dict[str, str | list[str]] = {}


class Later(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Open a dialogue on the morning of the day that is `days` from now."""

    open: str
    days: str
    """A whole number, or the name of a computed fact of kind `days`."""

    @property
    def fixed(self) -> int | None:
        return int(self.days) if self.days.isdecimal() else None


class Step(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    note: str = ""
    do: list[str] = []
    work_out: list[dict[str, dict[str, str]]] = []
    set: dict[str, str] = {}
    forget: list[str] = []
    cancel: list[str] = []
    """Dialogues whose set times (`later`) are given up."""
    later: list[Later] = []
    say: str = ""
    ask: str = ""
    again: str = ""
    shortly: str = ""
    """How the question is put after an aside, when the farmer has read it in full already."""
    also: str = ""
    """How it is put for a second pile in the same reminder, when the farmer has just read it for the first."""
    close: list[str] = []
    """Dialogues that still wait about the same pile and have become pointless."""
    expect: str = ""
    keep: str = ""
    """The fact that the answer becomes."""
    among: str = ""
    """The fact that lists what the question offers, so that a part of a name is enough."""
    unless_known: str = ""
    answers: dict[str, str] = {}
    lost: str = ""
    """Where to go when two answers in a row were not understood."""
    then: str | list[Branch] = []

    def targets(self) -> list[tuple[str, str]]:
        """Every place this step can lead to, with the field that says so."""
        branches = [("then", self.then)] if isinstance(self.then, str) else []
        if not isinstance(self.then, str):
            branches = [(f"then[{i}].go", b.go) for i, b in enumerate(self.then)]
        lost = [("lost", self.lost)] if self.lost else []
        return branches + lost + [(f"answers.{key}", to) for key, to in self.answers.items()]

    def texts(self) -> list[tuple[str, str]]:
        """The texts a farmer can read, with their fields."""
        return [(field, text) for field in TEXT_FIELDS if (text := getattr(self, field))]


class Dialogue(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    dialogue: str
    version: int
    about: str
    steps: dict[str, Step]
    opens_on: list[Opening] = []
    at_any_moment: bool = False
    """Opens even while another dialogue waits for an answer that the message could be."""
    before_others: bool = False
    """Opens rather than any other dialogue that the same message asks for."""
    for_anyone: bool = False
    """Open to people who have not joined."""
    of_a_pile: Literal["", "any", "unbuilt", "built"] = ""
    """Needs a pile, one not built yet if there is one, or one that stands: opens `without_pile` for a farmer
    who has none."""
    without_pile: str = ""
    keeps_report: bool = False
    """What a farmer tells of the pile before it is known here is taken up when this dialogue ends."""
    last_word: bool = False
    """After it nothing more is said in this turn; a question that waits is not put again."""
    may_wait: bool = True
    """Asked again after days of silence; a reminder's question is not."""
    if_missed: int = 0
    """A reminder that could not be sent in its time is set again so many days after it; 0: it is left out."""

    @property
    def first(self) -> str:
        return next(iter(self.steps))


class FactKind(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    kind: str
    values: list[str] = []


class FactsFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    facts: dict[str, FactKind | str]


class CommonFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Texts that belong to no dialogue: see `COMMON_TEXTS` for the ones that must be there."""

    about: str
    texts: dict[str, str]
    again: dict[str, str]


COMMON_TEXTS = (
    "left", "stuck", "not_understood", "go_on", "put_aside", "updated", "pile_name", "no_such_pile",
    "last_reminder", "from_trainer", "other_language", "heard",
)  # fmt: skip


class MovedFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What became of steps and dialogues that farmers may still stand in: old name to new name."""

    about: str
    moved: dict[str, str] = {}


def read_dialogue(path: Path) -> tuple[Dialogue, Document]:
    document = read_document(path)
    dialogue = document.convert(Dialogue)
    if dialogue.dialogue != path.stem:
        raise document.error("dialogue", f"is {dialogue.dialogue!r}, but the file is called {path.name}")
    if not dialogue.steps:
        raise document.error("steps", "there is no step")
    return dialogue, document
