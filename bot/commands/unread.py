"""`python -m bot unread`: what was not understood, texts of one kind together, for whoever keeps the word lists."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TextIO

import msgspec

from bot.commands.read import all_languages
from bot.datafile import BadFile
from bot.reading.clusters import Cluster, clusters, counted
from bot.store import NotUnderstood, Store, StoreError
from bot.teaching import taught_reader, taught_words

SHOWN = 4
"""Texts of one kind that are shown."""


def main(argv: Sequence[str], stdout: TextIO | None = None) -> int:
    """Prints words that no list knows and kinds of texts, with counts. Returns 2 if a file cannot be used."""
    options = _parser().parse_args(argv)
    out = stdout or sys.stdout
    if not options.db.exists():
        print(f"bot: there is no {options.db}", file=sys.stderr)
        return 2
    try:
        untaught = all_languages()
        with Store.open(options.db) as store:
            texts = store.unread.latest(options.latest, options.lang)
            reader = taught_reader(untaught, taught_words(store.taught.all()))
    except (BadFile, StoreError) as exc:
        print(f"bot: {exc}", file=sys.stderr)
        return 2
    words = [word for each in texts for word in reader.unknown_words(each.text, each.language or "en")]
    strange = counted(words, options.least)
    found = [each for each in clusters(text.text for text in texts) if each.count >= options.least]
    (_print_json if options.json else _print)(texts, strange, found, out)
    return 0


def _print(
    texts: list[NotUnderstood], strange: list[tuple[str, int]], found: list[Cluster], out: TextIO
) -> None:
    print(f"{len(texts)} texts were not understood.", file=out)
    print("\nWords that no list knows:", file=out)
    for word, count in strange:
        print(f"{count:6}  {word}", file=out)
    print("\nTexts of one kind:", file=out)
    for cluster in found:
        print(f"{cluster.count:6}  {_shown(cluster)}", file=out)
    print("\nTeach a word: python -m bot teach --db FILE --lang CODE WORD SECTION ID", file=out)


def _shown(cluster: Cluster) -> str:
    more = len(cluster.texts) - SHOWN
    return " | ".join(text for text, _ in cluster.texts[:SHOWN]) + (f" | and {more} more" if more > 0 else "")


def _print_json(
    texts: list[NotUnderstood], strange: list[tuple[str, int]], found: list[Cluster], out: TextIO
) -> None:
    kinds = [{"count": each.count, "texts": msgspec.to_builtins(each.texts)} for each in found]
    print(json.dumps({"texts": len(texts), "words": strange, "kinds": kinds}, ensure_ascii=False), file=out)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m bot unread", description=__doc__)
    parser.add_argument("--db", type=Path, required=True, help="the database file of the bot")
    parser.add_argument("--lang", help="only texts of farmers of this language")
    parser.add_argument("--latest", type=int, default=2000, help="so many texts at most, the newest (2000)")
    parser.add_argument(
        "--least", type=int, default=1, help="leave out what was written fewer times than this"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object")
    return parser
