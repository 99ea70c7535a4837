"""Words written together come apart: Arabic duals, `و` before the next word, ones before tens."""

from __future__ import annotations

import pytest

from bot.reading.reader import Reader


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("مترين في مترين في متر ونص", (2.0, 2.0, 1.5)),
        ("متر ونصف في متر ونصف في متر", (1.5, 1.5, 1.0)),  # the word between the sides does not join them
        ("طول 3 متر وعرض مترين وارتفاع متر", (3.0, 2.0, 1.0)),
        ("متر في متر في متر", (1.0, 1.0, 1.0)),
    ],
)
def test_sizes(reader: Reader, text: str, size: tuple[float, float, float]) -> None:
    assert reader.read(text, "ar", "size").size_m == size


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("خمسة وعشرين جردل روث بقر", 25),
        ("مية وخمسة وعشرين جردل روث بقر", 125),
        ("جردلين ونص روث بقر", 2.5),
        ("جردل روث بقر", 1),
        ("جرادل روث بقر", None),  # buckets, not how many
        ("كم جردل روث بقر", None),
        ("ثلاثة جرادل روث بقر", 3),
    ],
)
def test_amounts(reader: Reader, text: str, amount: float | None) -> None:
    materials = reader.read(text, "ar", "materials").materials
    assert materials and [each.amount for each in materials] == [amount]


def test_a_joined_and_separates_materials(reader: Reader) -> None:
    read = reader.read("تبن وروث ماعز ورماد", "ar", "materials").materials or ()
    assert [each.material for each in read] == ["wheat_straw", "goat_manure", "ash"]


def test_a_word_that_begins_alike_stays_whole(reader: Reader) -> None:
    assert reader.read("وقف", "ar").topic == "stop"  # a word of its own, not `and` + `قف`
    assert reader.read("ورق موز", "ar", "materials").materials[0].material == "banana_leaves"  # type: ignore[index]


def test_a_joined_negation_denies(reader: Reader) -> None:
    assert reader.read("مانزلت مطر", "ar", "rain").rain == "none"


def test_other_languages_keep_their_words_whole(reader: Reader) -> None:
    assert reader.read("2 by 2 by 2", "en", "size").size_m == (2.0, 2.0, 2.0)
    assert reader.read("a sack of ash", "en", "materials").materials[0].amount == 1  # type: ignore[index]


@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("جردل 20 لتر", "ar"),
        ("جردل سعته عشرين لتر", "ar"),
        ("bucket 20 litres", "en"),
        ("ndoo lita 20", "sw"),
    ],
)
def test_a_vessel_and_what_it_holds(reader: Reader, text: str, language: str) -> None:
    read = reader.read(text, language, "measure")
    assert (read.measure, read.measure_litres) == ("bucket", 20)


def test_a_letter_of_the_own_script_names_a_pile(reader: Reader) -> None:
    assert [reader.read(text, "ar").pile for text in ("الكومة ب باردة", "ب", "أ: سخنة", "الكومة باردة")] == [
        "B",
        "B",
        "A",
        None,
    ]
