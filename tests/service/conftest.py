"""The real bot on a temporary database, with phones that only remember and a clock that is moved by hand."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from phones import Farm


@pytest.fixture
def farm(tmp_path: Path) -> Iterator[Callable[..., Farm]]:
    """Opens a bot; settings of the configuration may be given."""
    with ExitStack() as stack:

        def open_farm(**settings: Any) -> Farm:
            opened = Farm(tmp_path / "farm.db", **settings)
            stack.callback(opened.bot.close)
            return opened

        yield open_farm
