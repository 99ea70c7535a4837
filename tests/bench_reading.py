"""Reading one message with every word list loaded, against splitting and lower-casing the same text."""

from __future__ import annotations

import statistics
from pathlib import Path

from bot.reading.reader import Reader
from bot.reading.words import load_languages
from tests.bench_row import Row, seconds
from tests.bench_webhook import TALK

WANTED_MS = 1.0
TEXTS = (
    *TALK,
    "mbolea ngapi kwa 1.5 x 1.5 x 1.5",
    "stik iz kold",
    "fimbo ni baridi",
    "xyzzy plugh",
    "🌱",
    "x" * 160,
)
REPEATS = 30


def measure() -> Row:
    """The median over the messages, each at its own median."""
    reader = Reader(load_languages(Path(__file__).parents[1] / "locales"))
    bot_s, floor_s = [], []
    for text in TEXTS:
        bot_s.append(
            statistics.median(seconds(lambda text=text: reader.read(text, "en")) for _ in range(REPEATS))
        )
        floor_s.append(
            statistics.median(seconds(lambda text=text: text.casefold().split()) for _ in range(REPEATS))
        )
    median, slowest = statistics.median(bot_s) * 1e3, max(bot_s) * 1e3
    ratio = statistics.median(bot_s) / statistics.median(floor_s)
    figures = f"median {median:.3f} ms, slowest text {slowest:.3f} ms"
    return Row("reading a message", ratio, median < WANTED_MS, f"median < {WANTED_MS:g} ms", figures)
