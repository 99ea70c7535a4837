"""The core's data files are read once, and whole."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from bot.compost import parse_causes, parse_measured, parse_pile_constants
from bot.coredata import load_causes, load_pile_constants, load_pile_measured, read_core_text


@pytest.mark.parametrize(
    ("load", "parse", "name"),
    [
        (load_causes, parse_causes, "causes.toml"),
        (load_pile_constants, parse_pile_constants, "pile.toml"),
        (load_pile_measured, parse_measured, "pile_measured.toml"),
    ],
)
def test_read_once_and_the_same_as_parsed(
    load: Callable[[], object], parse: Callable[[str], object], name: str
) -> None:
    assert load() is load()
    assert load() == parse(read_core_text(name))
