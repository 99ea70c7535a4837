"""`python -m bot taught`: the words that were taught, as YAML in the shape of the word lists, for the next release."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TextIO

import yaml

from bot.reading.taught import as_word_lists
from bot.store import Store, StoreError
from bot.teaching import taught_words


def main(argv: Sequence[str], stdout: TextIO | None = None) -> int:
    """Returns 0, or 2 if the database cannot be used."""
    parser = argparse.ArgumentParser(prog="python -m bot taught", description=__doc__)
    parser.add_argument("--db", type=Path, required=True, help="the database file of the bot")
    path = parser.parse_args(argv).db
    if not path.exists():
        print(f"bot: there is no {path}", file=sys.stderr)
        return 2
    try:
        with Store.open(path) as store:
            lists = as_word_lists(taught_words(store.taught.all()))
    except StoreError as exc:
        print(f"bot: {exc}", file=sys.stderr)
        return 2
    out = stdout or sys.stdout
    out.write("# Add these to locales/<language>/words.yaml, each to the list of the same name.\n")
    yaml.safe_dump(lists, out, allow_unicode=True, sort_keys=True)
    return 0
