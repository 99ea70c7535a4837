"""A bad word list names the file, the line and the field; a good one reads into its shape."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from bot.commands.read import LOCALES
from bot.datafile import BadFile
from bot.reading.reader import Reader
from bot.reading.words import MATERIALS, MEASURES, TOPICS, load_languages, parse_words

# Without its own spellings, so that a test can give others.
ENGLISH = re.sub(
    r"^spellings:.*?^(?=\w)", "", (LOCALES / "en" / "words.yaml").read_text("utf-8"), flags=re.M | re.S
)
FILE = "locales/en/words.yaml"


def test_every_list_names_everything() -> None:
    lists = load_languages(LOCALES)
    assert {"en", "sw"} <= set(lists)
    for code, words in lists.items():
        assert words.code == code
        assert set(words.topics) == set(TOPICS)
        assert set(words.materials) == set(MATERIALS)
        assert set(words.measures) == set(MEASURES)


@pytest.mark.parametrize(
    ("old", "new", "field", "problem"),
    [
        ("review: draft", "review: fine", "review", "Invalid enum value"),
        ("review: draft", "review: draft\nsorts: [a]", "sorts", "unknown field"),
        ("  maize_cobs:", "  maize_cobz:", "materials", "maize_cobz"),
        ("  basin:", "  basinn:", "measures", "basinn"),
        ("  ready:\n", "  redy:\n", "topics", "redy"),
        ("words: [weed, weeds,", "words: [weed, weeds, ash,", "materials.ash.words[0]", "also means weeds"),
        (
            "words: [weed, weeds,",
            "words: [weed, weeds, <nogroup> x,",
            "materials.weeds.words[2]",
            "no group <nogroup>",
        ),
        (
            "words: [weed, weeds,",
            "words: [weed, weeds, of the,",
            "materials.weeds.words[2]",
            "no word that counts",
        ),
        (
            "asked: [stop ... messages/",
            "asked: [stop your, stop ... messages/",
            "topics.stop.asked[0]",
            "only 'stop' without skip words",
        ),
        ("    0: [zero]", "    naught: [zero]", "numbers.words.naught", "is no number"),
        ('one: "{n} bucket"', 'one: "a bucket"', "measures.bucket.say.one", "must hold {n}"),
        ("acre: {is: 4046.8564224", "acre: {is: 0", "units.area.acre.is", "is no size"),
        ("  have: [have,", "  haves: [have,", "groups", "missing: have"),
        ("polite: [please", "code: en\npolite: [please", "code", "told by the folder"),
    ],
)
def test_a_mistake_is_named_with_its_line(old: str, new: str, field: str, problem: str) -> None:
    assert old in ENGLISH
    with pytest.raises(BadFile) as caught:
        parse_words(ENGLISH.replace(old, new, 1), FILE)
    error = caught.value
    assert error.file == FILE
    assert error.line is not None
    assert field in error.field or field in str(error)
    assert problem in str(error)
    assert re.match(rf"{FILE}, line \d+: ", str(error))


def test_a_folder_without_lists_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(BadFile, match="no <language>/words.yaml"):
        load_languages(tmp_path)


def test_a_file_that_is_no_text_is_an_error(tmp_path: Path) -> None:
    (tmp_path / "xx").mkdir()
    (tmp_path / "xx" / "words.yaml").write_bytes(b"\xff\xfe")
    with pytest.raises(BadFile, match="cannot be read"):
        load_languages(tmp_path)


def changed(*changes: tuple[str, str]) -> Reader:
    text = ENGLISH
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return Reader({"xx": parse_words(text, "locales/xx/words.yaml")})


Change = Callable[..., Reader]


def test_letters_of_a_language_stand_for_others() -> None:
    """Hausa hooked letters, Arabic alef forms: said in the list, not in code."""
    reader = changed(("review: draft", "review: draft\nletters: {ɓ: b}"))
    assert reader.read("ɓanana leaves", "xx", "materials").materials is not None


def test_a_word_list_may_hold_words_of_any_script() -> None:
    reader = changed(
        ("cold: [cold,", "cold: [ठंडी, बارد, cold,"),
        ("    2: [two]", "    2: [two, दो]"),
        ("before: [not,", "after: [नहीं]\n  before: [not,"),
        ("warm: [warm,", "warm: [गरम, warm,"),
        ("joiners: [and,", "before: {0.5: [साढ़े], -0.25: [पौने]}\n  joiners: [and,"),
    )
    assert reader.read("डंडी ठंडी है", "xx").feel == "cold"
    assert reader.read("गरम नहीं", "xx", "feel").feel == "cold"
    assert reader.read("साढ़े दो x दो x 2", "xx", "size").size_m == (2.5, 2, 2)
    assert reader.read("पौने दो x २ x २", "xx", "size").size_m == (1.75, 2, 2)


def test_a_beginning_and_an_ending_of_a_language_are_taken_off() -> None:
    reader = changed(("polite: [please", "beginnings: [al]\nendings: [en]\npolite: [please"))
    assert reader.read("alsawdust", "xx", "materials").materials is not None
    assert reader.read("sawdusten", "xx", "materials").materials is not None


def test_other_spellings_and_scripts_of_a_word_are_the_word_wherever_it_stands() -> None:
    """Hindi in two scripts: phrases are written once."""
    reader = changed(
        (
            "polite: [please",
            "spellings: {cold: [thandi, ठंडी], stick: [dandi, डंडी], two: [दो], stop: [बंद]}\npolite: [please",
        ),
    )
    for text in ("dandi thandi", "डंडी ठंडी", "dandi ठंडी", "the dandii is thanndi"):
        meaning = reader.read(text, "xx")
        assert (meaning.topic, meaning.feel) == ("feel", "cold"), text
    assert reader.read("दो x दो x two", "xx", "size").size_m == (2, 2, 2)
    assert reader.read("बंद please", "xx", "size").topic == "stop"


@pytest.mark.parametrize(
    ("spellings", "problem"),
    [
        ("{cold: [thandi], hot: [thandi]}", "'thandi' also stands for 'cold'"),
        ("{cold: [thandi], thandi: [tandi]}", "'tandi' stands for 'thandi', which stands for 'cold'"),
        ("{cold: [bahut thandi]}", "single words stand here"),
    ],
)
def test_a_spelling_belongs_to_one_word(spellings: str, problem: str) -> None:
    with pytest.raises(BadFile, match=problem):
        changed(("polite: [please", f"spellings: {spellings}\npolite: [please"))


def test_a_word_that_adds_to_the_next_number_may_be_a_number_by_itself() -> None:
    """Hindi `sava do` is 2.25, `sava bigha` 1.25 bigha."""
    reader = changed(
        ("    2: [two]", "    1.25: [sava]\n    2: [two]"),
        ("joiners: [and,", "before: {0.25: [sava]}\n  joiners: [and,"),
    )
    assert reader.read("sava two acres", "xx", "area").area_m2 == pytest.approx(2.25 * 4046.8564224)
    assert reader.read("sava acres", "xx", "area").area_m2 == pytest.approx(1.25 * 4046.8564224)


def test_a_word_for_no_after_a_report_is_no_answer_of_its_own() -> None:
    reader = changed(
        ("before: [not,", "after: [nahi]\n  before: [not,"), ('"no": ["no",', '"no": [nahi, "no",')
    )
    assert reader.read("cold nahi", "xx", "feel").feel == "warm"
    assert reader.read("cold nahi", "xx", "feel").answer is None
    assert reader.read("nahi", "xx", "yesno").answer == "no"


def test_two_number_words_in_a_row_may_be_a_range() -> None:
    reader = changed(("joiners: [and,", "pairs_are_ranges: true\n  joiners: [and,"))
    meaning = reader.read("ten twelve sacks goat manure", "xx", "materials")
    assert meaning.materials is not None and meaning.materials[0].amount == 11
    assert meaning.assumed == ("range_middle",)
    assert reader.read("two two three", "xx", "size").size_m == (2, 2, 3)
    assert reader.read("two three one", "xx", "size").size_m == (2, 3, 1)


def test_a_word_that_closes_the_sentence_is_no_name() -> None:
    reader = changed(("name_before: [my name is,", "name_after: [hai]\nname_before: [my name is,"))
    assert reader.read("my name is Sunita Devi hai", "xx", "text").rest == "Sunita Devi"
    assert reader.read("Sunita hai", "xx", "text").rest == "Sunita"
    assert reader.read("Sunita", "xx", "text").rest is None
