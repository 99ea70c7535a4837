"""A fresh database file for each test, closed at its end."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.store import Store

NOW = datetime(2026, 3, 2, 5, 30, tzinfo=UTC)
PHONE = "+447700900001"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "farm.db"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    with Store.open(path, busy_timeout_s=5) as opened:
        yield opened


@pytest.fixture
def now() -> datetime:
    return NOW
