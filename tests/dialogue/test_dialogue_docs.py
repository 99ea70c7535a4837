"""docs/dialogues.md tells everything a dialogue file may hold, and its example is a dialogue that works."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import msgspec
import pytest

from bot.advice.vocabulary import vocabulary
from bot.dialogue.library import read_library
from bot.dialogue.schema import (
    COMMON_TEXTS,
    Branch,
    CommonFile,
    Dialogue,
    FactKind,
    FactsFile,
    Later,
    Opening,
    Step,
)
from bot.reading.words import load_languages

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "docs" / "dialogues.md").read_text(encoding="utf-8")
KNOWN = vocabulary(load_languages(ROOT / "locales").values())
SHAPES = (Dialogue, Step, Opening, Branch, Later, FactKind, FactsFile, CommonFile)
FIELDS = [f"{shape.__name__}.{field}" for shape in SHAPES for field in shape.__struct_fields__]


def told(name: str) -> bool:
    """Whether the text explains a name, not just happens to hold the word."""
    return re.search(rf"`\{{?{re.escape(name)}\b[^`]*`|[{{ ]{re.escape(name)}: ", TEXT) is not None


@pytest.mark.parametrize("field", FIELDS)
def test_every_field_is_explained(field: str) -> None:
    assert told(field.split(".")[1]), f"docs/dialogues.md does not tell of {field}"


@pytest.mark.parametrize(
    "name",
    [
        *KNOWN.computations,
        *sorted(KNOWN.actions),
        *KNOWN.given,
        *(kind.name for kind in KNOWN.kinds.values() if kind.take),
        *COMMON_TEXTS,
    ],
)
def test_everything_a_file_may_name_is_listed(name: str) -> None:
    assert f"`{name}`" in TEXT


@pytest.mark.parametrize("name", KNOWN.computations)
def test_inputs_and_results_of_a_computation_are_listed(name: str) -> None:
    computation = KNOWN.computations[name]
    row = next(line for line in TEXT.splitlines() if line.startswith(f"| `{name}` |"))
    _, _, inputs, results, _ = row.split("|")
    wanted = {n + ("?" if q.optional else "") for n, q in computation.inputs.items()}
    assert {word.strip() for word in inputs.split(",")} - {""} == wanted
    assert all(re.search(rf"\b{output}\b", results) for output in computation.outputs)


def test_what_can_be_answered_is_listed_in_its_order() -> None:
    for kind in KNOWN.kinds.values():
        if kind.take and kind.values and kind.name != "language":
            row = next(line for line in TEXT.splitlines() if line.startswith(f"| `{kind.name}` |"))
            assert ", ".join(kind.values) in row


def test_the_example_is_a_dialogue_that_passes_every_check(tmp_path: Path) -> None:
    (example,) = re.findall(r"```yaml\n(.*?)```", TEXT, re.DOTALL)
    shutil.copytree(ROOT / "dialogues", tmp_path / "dialogues")
    (tmp_path / "dialogues" / "mulch.yaml").write_text(example, encoding="utf-8")
    read = read_library(tmp_path / "dialogues", KNOWN).dialogues["mulch"]
    assert list(read.steps) == ["ask", "choose", "wet", "dry"]
    assert msgspec.structs.asdict(read)["without_pile"] == "no_pile"


def test_the_dialogues_that_are_shipped_pass_every_check() -> None:
    assert {"plan", "build", "care", "cold", "help", "stop"} <= set(
        read_library(ROOT / "dialogues", KNOWN).dialogues
    )
