"""`python -m bot words`: how far each language is: messages translated, words known, read by a native speaker or not."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TextIO

import msgspec

from bot.commands.read import LOCALES
from bot.datafile import BadFile
from bot.reading.entries import entries, symbols
from bot.reading.letters import Letters
from bot.reading.lexicon import Lexicon
from bot.reading.words import WordList, load_languages
from bot.wording.catalogs import SOURCE, catalog_path, extract, read_texts

ROOT = Path(__file__).parents[2]


class LanguageState(msgspec.Struct, frozen=True):
    """messages : of the source texts. phrases : entries of the word list. words : different words that it knows."""

    language: str
    name: str
    review: str
    translated: int
    messages: int
    phrases: int
    words: int
    like: str = ""


def states(locales: Path, dialogues: Path) -> list[LanguageState]:
    """The state of every language. Raises BadFile."""
    texts = {text for _, _, text, _ in extract(dialogues)}
    return [_state(code, words, locales, texts) for code, words in load_languages(locales).items()]


def _state(code: str, words: WordList, locales: Path, texts: set[str]) -> LanguageState:
    path = catalog_path(locales, code)
    translated = texts if code == SOURCE else texts & set(read_texts(path) if path.exists() else {})
    lexicon = Lexicon(words, Letters(words.letters, symbols(words)))
    return LanguageState(
        language=code, name=words.name, review=words.review, translated=len(translated), messages=len(texts),
        phrases=sum(1 for _ in entries(words)), words=len(lexicon.known), like=words.like,
    )  # fmt: skip


def main(argv: Sequence[str], stdout: TextIO | None = None) -> int:
    """Prints one line a language. Returns 2 if a file cannot be used."""
    parser = argparse.ArgumentParser(prog="python -m bot words", description=__doc__)
    parser.add_argument("--json", action="store_true", help="one JSON object a line")
    options = parser.parse_args(argv)
    try:
        found = states(LOCALES, ROOT / "dialogues")
    except BadFile as exc:
        print(exc, file=sys.stderr)
        return 2
    for each in found:
        line = json.dumps(msgspec.to_builtins(each), ensure_ascii=False) if options.json else _line(each)
        print(line, file=stdout or sys.stdout)
    return 0


def _line(state: LanguageState) -> str:
    share = f"{state.translated}/{state.messages}"
    like = f", read as {state.like}" if state.like else ""
    return (
        f"{state.language:8} {state.name:20} messages {share:9} words {state.words:5} phrases {state.phrases:5}"
        f"  {state.review}{like}"
    )
