"""What a season costs in segments, per language, from the season conversations: python -m tests.golden.costs

Prints the table of docs/costs.md; with --write puts it there between its marks.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

from .runner import FOLDER
from .seasons import seasons, target

PAGE = FOLDER.parents[1] / "docs" / "costs.md"
START, END = "<!-- table -->\n", "<!-- end of table -->"
_SENT = re.compile(r"^< (?:\(dropped\) )?(?:(\w+) )?\[(\d+) ([\w-]+)\]", re.MULTILINE)


def segments(path: Path) -> int:
    """Outgoing segments of one conversation."""
    return sum(int(count) for _, count, _ in _SENT.findall(path.read_text(encoding="utf-8")))


def languages() -> list[str]:
    return sorted(p.name for p in FOLDER.iterdir() if p.is_dir() and list(p.glob("9_*.txt")))


def table() -> str:
    names = [season.stem for season in seasons()]
    rows = [f"| | {' | '.join(name.replace('_', ' ') for name in names)} |", "|---|" + "--:|" * len(names)]
    for code in languages():
        costs = [str(segments(target(season, code))) for season in seasons()]
        rows.append(f"| {code} | {' | '.join(costs)} |")
    return "\n".join(rows) + "\n"


def page(text: str) -> str:
    """The page with the table of now."""
    before, _, rest = text.partition(START)
    _, _, after = rest.partition(END)
    return f"{before}{START}{table()}{END}{after}"


def main(options: list[str]) -> None:
    if "--write" in options:
        PAGE.write_text(page(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    print(table(), end="")


if __name__ == "__main__":
    main(sys.argv[1:])
