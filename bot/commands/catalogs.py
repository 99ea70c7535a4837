"""`python -m bot catalogs`: bring every catalog up to date with the dialogue files."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from bot.wording.catalogs import update

ROOT = Path(__file__).parents[2]


def main(argv: Sequence[str]) -> int:
    for language, count in update(ROOT / "dialogues", ROOT / "locales").items():
        print(f"{language}: {count} texts to translate")
    return 0
