"""`python -m bot teach`: teach the reader a word that farmers use, or take it back. The running bot knows it from the
next message on."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from bot.clock import Clock, SystemClock
from bot.commands.read import all_languages
from bot.datafile import BadFile
from bot.reading.taught import SECTIONS, BadWord, TaughtWord, checked, with_taught
from bot.reading.words import WordList
from bot.store import Store, StoreError
from bot.teaching import taught_words


def main(argv: Sequence[str], clock: Clock | None = None) -> int:
    """Returns 0 when the word was taught or taken back, 2 with the reason when it cannot be."""
    options = _parser().parse_args(argv)
    clock = clock or SystemClock()
    try:
        lists = all_languages().lists
        if options.lang not in lists:
            raise BadWord(f"{options.lang!r} has no word list; there are {', '.join(lists)}")
        code = lists[options.lang].like or options.lang
        if not options.db.exists():
            raise BadWord(f"there is no {options.db}")
        with Store.open(options.db) as store:
            if options.forget:
                return _forget(store, code, " ".join(options.word.split()), clock)
            word = TaughtWord(
                language=code, phrase=options.word, section=options.section or "", id=options.id
            )
            return _teach(store, lists[code], word, clock)
    except (BadFile, BadWord, StoreError) as exc:
        print(f"bot: {exc}", file=sys.stderr)
        return 2


def _teach(store: Store, words: WordList, word: TaughtWord, clock: Clock) -> int:
    before = [each for each in taught_words(store.taught.all()) if each.phrase != word.phrase]
    word = checked(word, with_taught(words, before)[0])
    store.taught.add(word.language, word.phrase, word.section, word.id, clock.now())
    print(f"{word.phrase!r} now means {f'{word.section} {word.id}'.strip()} in {words.name}.")
    return 0


def _forget(store: Store, code: str, phrase: str, clock: Clock) -> int:
    if not store.taught.forget(code, phrase, clock.now()):
        raise BadWord(f"{phrase!r} was not taught")
    print(f"{phrase!r} is forgotten.")
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m bot teach", description=__doc__)
    parser.add_argument("--db", type=Path, required=True, help="the database file of the bot")
    parser.add_argument("--lang", required=True, help="the language that the word belongs to")
    parser.add_argument("--forget", action="store_true", help="take the word back")
    parser.add_argument("word", help="the word or phrase as farmers write it")
    parser.add_argument("section", nargs="?", choices=SECTIONS, help="what kind of thing it means")
    parser.add_argument("id", nargs="?", default="", help="which one: maize_stalks, bucket, cold ...")
    return parser
