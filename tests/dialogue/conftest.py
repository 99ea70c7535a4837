"""Dialogue files written to a folder, and conversations over them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from small_world import COMMON, ENROL, FACTS, VOCABULARY, SmallWorld, Talk

from bot.dialogue.library import read_library

Write = Callable[..., Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Writes a folder of dialogues; a file is given by the name in its first line."""

    def writer(*files: str, facts: str = FACTS, common: str = COMMON, enrol: str = ENROL) -> Path:
        (tmp_path / "facts.yaml").write_text(facts, encoding="utf-8")
        (tmp_path / "common.yaml").write_text(common, encoding="utf-8")
        for text in (enrol, *files):
            name = text.split("\n", 1)[0].removeprefix("dialogue: ").strip()
            (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
        return tmp_path

    return writer


@pytest.fixture
def start(write: Write) -> Callable[..., Talk]:
    """A conversation over the given dialogue files."""

    def starter(*files: str, world: SmallWorld | None = None) -> Talk:
        return Talk(read_library(write(*files), VOCABULARY), world or SmallWorld())

    return starter
