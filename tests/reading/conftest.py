import pytest

from bot.commands.read import LOCALES
from bot.reading.reader import Reader
from bot.reading.words import load_languages


@pytest.fixture(scope="session")
def reader() -> Reader:
    return Reader(load_languages(LOCALES))
