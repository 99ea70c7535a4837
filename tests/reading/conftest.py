import pytest

from bot.commands.read import all_languages
from bot.reading.reader import Reader


@pytest.fixture(scope="session")
def reader() -> Reader:
    return all_languages()
