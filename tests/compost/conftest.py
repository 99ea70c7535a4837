from __future__ import annotations

import pytest

from bot.compost import Catalogue, Measures
from bot.coredata import load_catalogue, load_measures


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return load_catalogue()


@pytest.fixture(scope="session")
def measures() -> Measures:
    return load_measures()
