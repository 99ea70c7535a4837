"""Whatever is sent: an answer, no exception, quickly; never NaN or infinity."""

from __future__ import annotations

import math
import os
import random
import time

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.commands.read import all_languages
from bot.reading.meaning import COMMAND_LINE_KINDS, Meaning

from . import fuzz

READER = all_languages()
KINDS = (None, *COMMAND_LINE_KINDS, "text", "number", "measure", "language", "word")
SLOWEST_S = 0.02
WORDS = (
    "2", "x", "by", "kwa", "m", "ft", "10-12", "1e9", "-3", "½", "and", "na", "not", "no", "manure", "samadi", "goat",
    "leaves", "bucket", "ndoo", "stick", "cold", "baridi", "rain", "mvua", "mm", "C", "°", "'", '"', ",", "\n", "stop",
    "JOIN", "trainer", "half", "nusu", "kumi", "acre", "smells", "wet", "yes", "later", "wheelbarow", "stik", "qzxw",
    "😀", "\u200b", "=",
)  # fmt: skip


def numbers_of(meaning: Meaning) -> list[float]:
    plain = msgspec.to_builtins(meaning)
    found = [plain[name] for name in ("celsius", "rain_mm", "area_m2", "number", "measure_litres")]
    found += list(plain["size_m"] or ()) + [each["amount"] for each in plain["materials"] or ()]
    return [each for each in found if each is not None]


def check(text: str, language: str, kind: str | None) -> None:
    meaning = READER.read(text, language, kind, ("done", "back"))  # type: ignore[arg-type]
    assert meaning.text == text
    assert all(math.isfinite(each) for each in numbers_of(meaning))
    assert meaning.understood or meaning.ask_again
    assert READER.read(text, language, kind, ("done", "back")) == meaning  # type: ignore[arg-type]


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=300), st.sampled_from(["en", "sw"]), st.sampled_from(KINDS))
def test_any_characters(text: str, language: str, kind: str | None) -> None:
    check(text, language, kind)


@settings(max_examples=500, deadline=None)
@given(
    st.lists(st.sampled_from(WORDS), max_size=25),
    st.sampled_from(["", " "]),
    st.sampled_from(["en", "sw"]),
    st.sampled_from(KINDS),
)
def test_any_order_of_words_that_mean_something(
    words: list[str], between: str, language: str, kind: str | None
) -> None:
    check(between.join(words), language, kind)


@pytest.mark.parametrize(
    "text",
    [
        "a" * 100_000,
        "manure " * 20_000,
        "stick cold pile wet ammonia water " * 3000,
        "2 x " * 30_000,
        "xqzy jkwv " * 10_000,
        "leaves and " * 10_000,
        "how much " * 12_000,
        "one and a half " * 7000,
        "1" * 100_000,
        "1,000" * 20_000,
        "😀" * 50_000,
        "\u202e\u200b" * 50_000,
        "\x00\x01" * 50_000,
        "م" * 100_000,
        "wheelbarowz " * 9000,
        "'" * 100_000,
        "- " * 50_000,
        "1/2 " * 25_000,
    ],
    ids=lambda text: repr(text[:12]),
)
@pytest.mark.parametrize("kind", [None, "materials", "size"])
def test_huge_texts_are_read_within_20_ms(text: str, kind: str | None) -> None:
    times = []
    for _ in range(3):
        start = time.process_time()
        READER.read(text, "en", kind)  # type: ignore[arg-type]
        times.append(time.process_time() - start)
    assert min(times) < SLOWEST_S


def test_odd_texts_of_all_languages_are_read_within_20_ms() -> None:
    """Every run other texts unless CI is set, as hypothesis does; `python -m tests.reading.fuzz` reads 200,000."""
    seed = 1 if os.environ.get("CI") else random.randrange(10**6)
    times = fuzz.run(READER, 1500, seed)
    assert len(times) == 1500


def test_lone_surrogates_and_unknown_language_are_no_error() -> None:
    assert READER.read("\ud800 cold", "xx").feel == "cold"


@pytest.mark.parametrize(
    "text", ["STOP", "ЅTOP", "S\u200bTOP", "ＳＴＯＰ", "ＳＴＯＰ!!", "stop.", " Stop \n", "𝐒𝐓𝐎𝐏"]
)
def test_stop_is_seen_through_look_alike_and_invisible_letters(text: str) -> None:
    assert READER.read(text, "en").topic == "stop"
