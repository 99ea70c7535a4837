"""Labelled messages and how a reading is judged against its label.

A row: `text`, `expect` (the open question's kind or null), `kind` (easy, hard, hostile), `want` (fields of the
contract that must hold; the others must be null), `any` (fields that may be anything). `want` may also name what
stands beside the contract (BESIDE), which is compared only then. `understood` is true and `ask_again` false unless
`want` says otherwise.
"""

from __future__ import annotations

import json
import math
import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import msgspec

from bot.reading.meaning import CONTRACT
from bot.reading.reader import Reader

HERE = Path(__file__).parent
Row = Mapping[str, Any]
_STATE = ("understood", "ask_again")
BESIDE = ("seen", "lesson", "crop", "days_ago", "stranger", "pile", "nothing", "word", "written_in")


def rows(name: str) -> list[Row]:
    return [json.loads(line) for line in (HERE / name).read_text(encoding="utf-8").splitlines()]


def judge(reader: Reader, row: Row, language: str) -> str:
    """`understood`, `missed` (not all was understood, nothing wrongly) or `misread` (a field says something else)."""
    meaning = msgspec.to_builtins(reader.read(row["text"], language, row["expect"]))
    want = {"understood": True, "ask_again": False, **row["want"]}
    compared = (*CONTRACT[1:], *(field for field in BESIDE if field in want))
    differing = [
        field
        for field in compared
        if field not in row.get("any", ()) and not same(meaning[field], want.get(field))
    ]
    if (
        "materials" in differing
        and meaning["ask_again"]
        and _part_of(meaning["materials"], want.get("materials"))
    ):
        differing = ["ask_again", *(field for field in differing if field != "materials")]
    if any(_said(meaning[field]) for field in differing if field not in _STATE):
        return "misread"
    return "missed" if differing else "understood"


def _said(value: Any) -> bool:
    return value is not None and value is not False and value not in ((), [])


def _part_of(read: Any, wanted: Any) -> bool:
    """A list of materials that lacks some and asks again is not misread: nothing in it is wrong."""
    return bool(read and wanted) and all(any(same(one, other) for other in wanted) for one in read)


def same(read: Any, wanted: Any) -> bool:
    """Equal, numbers to six digits."""
    if isinstance(read, float) and isinstance(wanted, int | float):
        return math.isclose(read, wanted, rel_tol=1e-6)
    if isinstance(read, list | tuple) and isinstance(wanted, list):
        return len(read) == len(wanted) and all(same(a, b) for a, b in zip(read, wanted, strict=True))
    if isinstance(read, dict) and isinstance(wanted, dict):
        return read.keys() == wanted.keys() and all(same(read[key], wanted[key]) for key in read)
    return bool(read == wanted)


def counts(reader: Reader, name: str, language: str) -> dict[str, Counter[str]]:
    """Verdicts by kind, and over `all`."""
    table: dict[str, Counter[str]] = {"all": Counter()}
    for row in rows(name):
        verdict = judge(reader, row, language)
        table["all"][verdict] += 1
        table.setdefault(row["kind"], Counter())[verdict] += 1
    return table


def lines(table: Mapping[str, Counter[str]]) -> Iterator[str]:
    for kind, verdicts in table.items():
        total = verdicts.total()
        yield (
            f"{kind:8} {total:4}  understood {verdicts['understood'] / total:6.1%}"
            f"  misread {verdicts['misread'] / total:5.1%}"
        )


def main(names: Sequence[str], locales: Path | None = None) -> None:
    """Prints the rates of every labelled file whose language has a list, or of those named (`en`, `heldout1_sw`)."""
    from bot.commands.read import LOCALES
    from bot.reading.words import load_languages

    lists = load_languages(locales or LOCALES)
    reader = Reader(lists)
    for path in sorted(HERE.glob("*.jsonl")):
        language = path.stem.rpartition("_")[2]
        if language not in lists or (names and path.stem not in names):
            continue
        print(path.stem)
        print("\n".join("  " + line for line in lines(counts(reader, path.name, language))))
        for row in rows(path.name):
            verdict = judge(reader, row, language)
            if verdict != "understood":
                print(f"    {verdict}: {row['text']!r} expecting {row['expect']}, want {row['want']}")


if __name__ == "__main__":
    main(sys.argv[1:])
