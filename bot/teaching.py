"""The reader with the words that trainers taught, renewed while the bot runs."""

from __future__ import annotations

import logging
from collections.abc import Iterable
from threading import Lock

import msgspec

from bot.reading.reader import Reader
from bot.reading.taught import TaughtWord, with_taught
from bot.store import Store, Taught

log = logging.getLogger(__name__)


def taught_words(rows: Iterable[Taught]) -> list[TaughtWord]:
    return [
        TaughtWord(language=row.language, phrase=row.phrase, section=row.section, id=row.id) for row in rows
    ]


def taught_reader(untaught: Reader, taught: Iterable[TaughtWord]) -> Reader:
    """A reader that knows the taught words too. One that no longer fits its list is left out, with a warning."""
    taught = [msgspec.structs.replace(word, language=untaught.list_of(word.language)) for word in taught]
    lists = dict(untaught.lists)
    for code in {word.language for word in taught} & set(lists):
        lists[code], refused = with_taught(lists[code], taught)
        for word, problem in refused:
            log.warning("the taught word %r (%s) is left out: %s", word.phrase, code, problem)
    return Reader(lists, like=untaught)


class Readers:
    """Gives the reader of this moment. One look at the store tells whether words have been taught since."""

    def __init__(self, untaught: Reader, store: Store) -> None:
        self._untaught, self._store = untaught, store
        self._lock = Lock()
        self._kept = (0, untaught)

    def current(self) -> Reader:
        version = self._store.taught.version()
        if version != self._kept[0]:
            with self._lock:
                if version != self._kept[0]:
                    self._kept = (
                        version,
                        taught_reader(self._untaught, taught_words(self._store.taught.all())),
                    )
        return self._kept[1]
