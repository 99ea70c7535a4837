"""All dialogue files together, read and checked before the first message is taken."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from bot.datafile import BadFile, Document, read_document
from bot.dialogue import checks
from bot.dialogue.schema import (
    COMMON_TEXTS,
    CommonFile,
    Dialogue,
    FactsFile,
    MovedFile,
    Step,
    read_dialogue,
)
from bot.dialogue.vocabulary import Quantity, Vocabulary
from bot.reading.meaning import Meaning

FACTS, COMMON, MOVED = "facts.yaml", "common.yaml", "moved.yaml"


class _Ways:
    """The ways into some dialogues, ready to look up; of two that share one the first file wins."""

    def __init__(self, dialogues: Iterable[Dialogue]) -> None:
        self._named: dict[tuple[str, str], Dialogue] = {}
        self._has: list[tuple[str, Dialogue]] = []
        for dialogue in dialogues:
            for opening in dialogue.opens_on:
                for how in ("topic", "word"):
                    if (wanted := getattr(opening, how)) is not None:
                        self._named.setdefault((how, wanted), dialogue)
                if opening.has is not None:
                    self._has.append((opening.has, dialogue))

    def find(self, meaning: Meaning) -> Dialogue | None:
        for how, said in (("topic", meaning.topic), ("word", meaning.word)):
            if said is not None and (found := self._named.get((how, said))) is not None:
                return found
        return next((d for field, d in self._has if getattr(meaning, field) not in (None, ())), None)


class Library:
    """The checked dialogues by name, the declared facts and the texts that belong to no dialogue."""

    def __init__(
        self,
        dialogues: Mapping[str, Dialogue],
        facts: Mapping[str, Quantity],
        common: CommonFile,
        moved: Mapping[str, str] | None = None,
    ) -> None:
        self.dialogues, self.facts, self.common, self._moved = dialogues, facts, common, moved or {}
        urgent = [d for d in dialogues.values() if d.at_any_moment]
        self._urgent = [_Ways(d for d in urgent if d.before_others), _Ways(urgent)]
        self._all = [_Ways(d for d in dialogues.values() if d.before_others), _Ways(dialogues.values())]

    def opened_by(self, meaning: Meaning, *, at_any_moment: bool = False) -> Dialogue | None:
        """The dialogue that this message asks for: by topic, else by reply word, else by what it holds."""
        for ways in self._urgent if at_any_moment else self._all:
            if (found := ways.find(meaning)) is not None:
                return found
        return None

    def moved_step(self, dialogue: str, step: str | None) -> tuple[str, str | None]:
        """Where a step is today, by the migration notes; as given when none speaks of it."""
        if (to := self._moved.get(f"{dialogue}.{step}")) is not None:
            new, _, new_step = to.partition(".")
            return new, new_step
        return self.moved_dialogue(dialogue), step

    def moved_dialogue(self, dialogue: str) -> str:
        """What a dialogue is called today."""
        return self._moved.get(dialogue, dialogue)


def read_library(folder: Path, vocabulary: Vocabulary) -> Library:
    """Read every file of the folder. Raises BadFile with file, line and field at the first mistake."""
    facts = _read_facts(folder / FACTS, vocabulary)
    common = _read_common(folder / COMMON, vocabulary)
    found: dict[str, tuple[Dialogue, Document]] = {}
    for path in sorted(folder.glob("*.yaml")):
        if path.name not in (FACTS, COMMON, MOVED):
            dialogue, document = read_dialogue(path)
            found[dialogue.dialogue] = (dialogue, document)
    if not found:
        raise BadFile(str(folder), None, "", "holds no dialogue file (*.yaml)")
    dialogues = {name: dialogue for name, (dialogue, _) in found.items()}
    for dialogue, document in found.values():
        checks.check_dialogue(dialogue, document, dialogues, facts, vocabulary)
    return Library(dialogues, facts, common, _read_moved(folder / MOVED, dialogues))


def _read_moved(path: Path, dialogues: Mapping[str, Dialogue]) -> Mapping[str, str]:
    """Migration notes; a folder without the file has none."""
    if not path.exists():
        return {}
    document = read_document(path)
    moved = document.convert(MovedFile).moved
    for old, new in moved.items():
        field = f"moved.{old}"
        if _is_there(old, dialogues):
            raise document.error(field, f"{old} is still there: a note is for what is gone")
        if not _is_there(new, dialogues):
            raise document.error(field, f"there is no {new} to lead to")
        if ("." in old) != ("." in new):
            raise document.error(field, "leads from a dialogue to a dialogue, or from a step to a step")
        if "." in new and not _step(new, dialogues).ask:
            raise document.error(field, f"{new} asks nothing, so nobody can stand there")
    return moved


def _is_there(name: str, dialogues: Mapping[str, Dialogue]) -> bool:
    dialogue, _, step = name.partition(".")
    return dialogue in dialogues and (not step or step in dialogues[dialogue].steps)


def _step(name: str, dialogues: Mapping[str, Dialogue]) -> Step:
    dialogue, _, step = name.partition(".")
    return dialogues[dialogue].steps[step]


def _read_facts(path: Path, vocabulary: Vocabulary) -> Mapping[str, Quantity]:
    document = read_document(path)
    facts = dict(vocabulary.given)
    for name, entry in document.convert(FactsFile).facts.items():
        field = f"facts.{name}"
        kind, values = (entry, []) if isinstance(entry, str) else (entry.kind, entry.values)
        if name.split(".")[0] not in checks.SCOPES or name.count(".") != 1:
            raise document.error(field, f"must be one of {', '.join(s + '.<name>' for s in checks.SCOPES)}")
        if kind not in vocabulary.kinds:
            raise document.error(
                field, f"{kind!r} is no kind; there are {', '.join(sorted(vocabulary.kinds))}"
            )
        facts[name] = Quantity(
            kind=kind, values=tuple(values) or vocabulary.kinds[kind].values, optional=True
        )
    return facts


def _read_common(path: Path, vocabulary: Vocabulary) -> CommonFile:
    document = read_document(path)
    common = document.convert(CommonFile)
    for name in COMMON_TEXTS:
        if name not in common.texts:
            raise document.error("texts", f"the text {name!r} is missing")
    for name, text in common.texts.items():
        checks.check_placeholders(text, f"texts.{name}", document, vocabulary.given)
    asked = {k.name for k in vocabulary.kinds.values() if k.take}
    for kind in sorted(asked - set(common.again)):
        raise document.error("again", f"what to say when a {kind!r} was not understood is missing")
    for kind in common.again:
        if kind not in asked:
            raise document.error(f"again.{kind}", "is no kind that can be asked for")
    return common
