"""`python -m bot read`: what the reader understands, one JSON object for each line of input."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TextIO

from bot.datafile import BadFile
from bot.reading.meaning import COMMAND_LINE_KINDS, as_contract
from bot.reading.reader import Reader
from bot.reading.words import load_languages

LOCALES = Path(__file__).parents[2] / "locales"


@cache
def all_languages() -> Reader:
    """The reader of every word list, made once in a process. Raises BadFile."""
    return Reader(load_languages(LOCALES))


def main(argv: Sequence[str], stdin: TextIO | None = None, stdout: TextIO | None = None) -> int:
    """Reads lines until the end of input. Returns 0 for any text; 2 if the word lists cannot be used."""
    try:
        reader = all_languages()
    except BadFile as exc:
        print(exc, file=sys.stderr)
        return 2
    options = _parser(sorted(reader.languages)).parse_args(argv)
    for line in stdin or sys.stdin:
        meaning = reader.read(line.rstrip("\r\n"), options.lang, options.expect)
        print(json.dumps(as_contract(meaning)), file=stdout or sys.stdout, flush=True)
    return 0


def _parser(languages: list[str]) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m bot read", description=__doc__)
    parser.add_argument("--lang", default="en", choices=languages, help="the farmer's language")
    parser.add_argument("--expect", choices=COMMAND_LINE_KINDS, help="the kind of the question that is open")
    parser.add_argument("--json", action="store_true", help="JSON output (there is no other)")
    return parser
