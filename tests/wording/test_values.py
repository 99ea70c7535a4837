"""How values are written: plural forms of CLDR (Unicode CLDR plurals.xml by Babel), names of the word lists."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from bot.reading.words import load_languages
from bot.wording.speaker import WordNames
from bot.wording.values import Writer, locale_of

LISTS = load_languages(Path(__file__).parents[2] / "locales")


def writer(language: str) -> Writer:
    return Writer(language, WordNames(LISTS[language]), {"languages": "1 English, 2 Kiswahili"})


def buckets(n: float) -> dict[str, Any]:
    return {"n": n, "measure": "bucket"}


@pytest.mark.parametrize(
    ("language", "forms"),
    [  # SMS-14 to SMS-17, seen; SMS-20 to SMS-22, seen
        ("sw", {0: "other", 1: "one", 2: "other", 1000000: "other"}),
        ("fr", {0: "one", 1: "one", 2: "other", 1000000: "many"}),
        ("es", {0: "other", 1: "one", 2: "other", 1000000: "many"}),
        ("ar", {0: "zero", 1: "one", 2: "two", 3: "few", 11: "many", 100: "other"}),
        ("pt", {0: "one"}),
        ("pt_PT", {0: "other"}),
        ("hi", {0: "one", 1: "one", 2: "other"}),
        ("am", {0: "one", 1: "one", 2: "other"}),
        ("yo", {0: "other", 1: "other", 2: "other"}),
    ],
)
def test_plural_classes_are_those_of_cldr(language: str, forms: dict[int, str]) -> None:
    assert {n: locale_of(language).plural_form(n) for n in forms} == forms


@pytest.mark.parametrize(
    ("language", "n", "text"),
    [
        ("en", 1, "1 bucket"),
        ("en", 1.5, "1.5 buckets"),  # CLDR, en: `one` is i = 1 and v = 0, so 1.5 is `other`
        ("en", 0, "0 buckets"),
        ("en", 0.5, "half a bucket"),
        ("en", 2, "2 buckets"),
        ("sw", 1, "ndoo 1"),
        ("sw", 1.5, "ndoo 1.5"),
        ("sw", 12, "ndoo 12"),
    ],
)
def test_an_amount_in_its_plural_form(language: str, n: float, text: str) -> None:
    assert writer(language).write("amount", buckets(n)) == text


def test_every_measure_of_every_language_can_be_written_in_every_form() -> None:
    for language, words in LISTS.items():
        for measure in words.measures:
            for n in (0, 0.5, 1, 1.5, 2, 5, 20, 100):
                text = writer(language).write("amount", {"n": n, "measure": measure})
                said_half = n == 0.5 and text == words.measures[measure].say.get("half")
                assert "{" not in text and (said_half or any(c.isdigit() for c in text))


@pytest.mark.parametrize(
    ("kind", "value", "text"),
    [
        ("number", 1234.5, "1234.5"),
        ("number", 2.0, "2"),
        ("size", [2.0, 1.5, 1.234], "2x1.5x1.23 m"),
        ("date", "2026-03-02", "2 Mar"),
        ("shopping", [{"material": "goat_manure", "amount": buckets(6)}], "6 buckets of goat manure"),
        ("words", ["zibuko", "kaluma"], "zibuko, kaluma"),
        ("materials", ["ash", "paper"], "wood ash, paper"),
        ("choices", ["rice_straw", "wheat_straw"], "1 rice straw, 2 wheat straw"),
        ("languages", None, "1 English, 2 Kiswahili"),
        ("text", "Amina", "Amina"),
    ],
)
def test_values_in_english(kind: str, value: Any, text: str) -> None:
    assert writer("en").write(kind, value) == text


def test_a_list_names_each_material_and_says_a_common_measure_once() -> None:
    items = [
        {"material": "maize_stalks", "amount": buckets(55)},
        {"material": "goat_manure", "amount": buckets(15)},
    ]
    for language in LISTS:
        text = writer(language).write("shopping", items)
        assert all(WordNames(LISTS[language]).material(item["material"]) in text for item in items)
        assert text.count("55") == text.count("15") == 1
        first, second = (writer(language).write("amount", item["amount"]) for item in items)
        assert first in text and second not in text  # the measure is told with the first amount only
    mixed = [items[0], {"material": "ash", "amount": {"n": 1, "measure": "handful"}}]
    assert "handful" in writer("en").write("shopping", mixed) and "bucket" in writer("en").write(
        "shopping", mixed
    )


def test_an_unknown_kind_is_refused() -> None:
    with pytest.raises(KeyError):
        writer("en").write("colour", "red")
