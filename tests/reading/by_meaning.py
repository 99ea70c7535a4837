"""Messages sorted by what they mean, and how often the reader gets that: `python -m tests.reading.by_meaning [LL ...]`.

`by_meaning/<language>.json` maps a meaning to messages. They were made up by writers who saw neither the word lists nor
the reader, so they show what a new message meets. A label here is coarse (one meaning), unlike the rows of
`labelled.py`. `half` 1 was used to mend the word lists; half 2 was not looked at while they were mended.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from bot.reading.meaning import Kind, Meaning
from bot.reading.reader import Reader

HERE = Path(__file__).parent / "by_meaning"
TOPICS = frozenset(
    "join plan manure water smell wet ready spread sell trainer stop start help language danger".split()
)
OPEN: dict[str, Kind] = {
    "warm": "feel", "hot": "feel", "dry": "squeeze", "damp": "squeeze", "dripping": "squeeze", "earthy": "smell",
    "ammonia": "smell", "rotten": "smell", "sour": "smell", "rain_none": "rain", "rain_some": "rain",
    "rain_heavy": "rain", "yes": "yesno", "no": "yesno", "later": "yesno",
}  # fmt: skip
"""The question that is open when a message of this meaning comes; the others come unasked."""
FIELDS = ("topic", "size_m", "materials", "forbidden", "feel", "squeeze", "smell", "answer", "rain")


def verdict(meaning: str, read: Meaning) -> str:
    """`understood`, `missed` or `misread`."""
    if meaning == "other":
        return "misread" if any(getattr(read, field) for field in FIELDS) else "understood"
    field, wanted = _wanted(meaning)
    got = getattr(read, field)
    if got == wanted or (meaning == "hot" and (read.celsius or 0) >= 50):
        return "understood"
    listed = read.forbidden if meaning != "manure" else None
    return "misread" if got or read.topic or listed else "missed"


def _wanted(meaning: str) -> tuple[str, str]:
    if meaning in TOPICS:
        return "topic", meaning
    if meaning in ("cold", "warm", "hot"):
        return "feel", meaning
    if meaning in ("yes", "no", "later"):
        return "answer", meaning
    if meaning.startswith("rain_"):
        return "rain", meaning.removeprefix("rain_")
    kind = OPEN[meaning]
    return kind, "wet" if meaning == "dripping" else meaning


def messages(language: str, half: int) -> Iterator[tuple[str, str]]:
    """(meaning, text) of one half."""
    sorted_ = json.loads((HERE / f"{language}.json").read_text(encoding="utf-8"))[f"half_{half}"]
    for meaning, texts in sorted_.items():
        for text in texts:
            yield meaning, text


def counts(reader: Reader, language: str, half: int) -> dict[str, Counter[str]]:
    """Verdicts by meaning, and over `all`."""
    table: dict[str, Counter[str]] = {"all": Counter()}
    for meaning, text in messages(language, half):
        found = verdict(meaning, reader.read(text, language, OPEN.get(meaning)))
        table["all"][found] += 1
        table.setdefault(meaning, Counter())[found] += 1
    return table


def main(languages: list[str]) -> None:
    from bot.commands.read import LOCALES
    from bot.reading.words import load_languages

    reader = Reader(load_languages(LOCALES))
    for language in languages or sorted(path.stem for path in HERE.glob("*.json")):
        for half in (1, 2):
            table = counts(reader, language, half)
            total = table["all"].total()
            rates = ", ".join(f"{name} {n / total:.1%}" for name, n in sorted(table["all"].items()))
            print(f"{language} half {half}: {total} messages, {rates}")
            if languages:
                for meaning, found in table.items():
                    print(f"  {meaning:10} {dict(found)}")


if __name__ == "__main__":
    main(sys.argv[1:])
