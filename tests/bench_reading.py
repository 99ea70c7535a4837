"""Reading messages with every word list loaded, against splitting and lower-casing the same texts."""

from __future__ import annotations

import gc
import statistics
import time
import tracemalloc
from collections.abc import Callable
from functools import partial
from pathlib import Path

from bot.reading.meaning import Kind
from bot.reading.reader import Reader
from bot.reading.words import load_languages
from tests.bench_row import Row
from tests.bench_webhook import TALK
from tests.reading import labelled

MEDIAN_MS, HIGH_MS, MEMORY_MB = 1.0, 5.0, 30.0
LOCALES = Path(__file__).parents[1] / "locales"
TEXTS = (
    *TALK,
    "mbolea ngapi kwa 1.5 x 1.5 x 1.5",
    "stik iz kold",
    "fimbo ni baridi",
    "xyzzy plugh",
    "🌱",
    "x" * 160,
)


def messages(reader: Reader) -> list[tuple[str, str, Kind | None]]:
    """Those of the simulated season, and every labelled message with its language and open question."""
    found: list[tuple[str, str, Kind | None]] = [(text, "en", None) for text in TEXTS]
    for code in reader.languages:
        if (labelled.HERE / f"{code}.jsonl").exists():
            found += [(row["text"], code, row["expect"]) for row in labelled.rows(f"{code}.jsonl")]
    return found


def measure() -> Row:
    """Each message twice, the quicker counts: the first may meet a word that must be searched for."""
    reader = Reader(load_languages(LOCALES))
    texts = messages(reader)
    gc.collect()
    gc.disable()
    try:
        reads = sorted(min(_seconds(partial(reader.read, *each)) for _ in range(2)) for each in texts)
        floor = [_seconds(partial(_split, text)) for text, _, _ in texts]
    finally:
        gc.enable()
    median, high = statistics.median(reads) * 1e3, reads[len(reads) * 99 // 100] * 1e3
    memory = memory_mb()
    ratio = statistics.median(reads) / statistics.median(floor)
    kept = median < MEDIAN_MS and high < HIGH_MS and memory < MEMORY_MB
    wanted = f"median < {MEDIAN_MS:g} ms, 99 of 100 < {HIGH_MS:g} ms, lists < {MEMORY_MB:g} MB"
    figures = (
        f"{len(reader.languages)} languages, {len(texts)} messages: median {median:.3f} ms, 99 of 100 under {high:.3f} ms,"
        f" slowest {reads[-1] * 1e3:.3f} ms; lists {memory:.1f} MB"
    )
    return Row("reading a message", ratio, kept, wanted, figures)


def _split(text: str) -> list[str]:
    return text.casefold().split()


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def memory_mb() -> float:
    """What all word lists take when they are ready for reading. [MB]"""
    gc.collect()
    tracemalloc.start()
    reader = Reader(load_languages(LOCALES))
    gc.collect()
    taken, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert reader.languages
    return taken / 1e6
