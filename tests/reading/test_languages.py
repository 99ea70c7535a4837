"""All languages together: each word is read by the language that the text is in."""

from __future__ import annotations

import pytest

from bot.reading.reader import Reader

from . import labelled
from .test_labelled import LANGUAGES


@pytest.mark.parametrize("written", LANGUAGES)
def test_a_message_in_another_language_than_the_farmers_is_seldom_misread(
    reader: Reader, written: str
) -> None:
    """Every third labelled message as sent by a farmer of each other language: found by the text, or asked again."""
    rows = labelled.rows(f"{written}.jsonl")[::3]
    for own in set(LANGUAGES) - {written}:
        verdicts = [labelled.judge(reader, row, own) for row in rows]
        assert verdicts.count("understood") / len(rows) >= 0.9, own
        assert verdicts.count("misread") / len(rows) <= 0.04, own


@pytest.mark.parametrize(
    ("text", "own", "written_in"),
    [
        ("fimbo ni baridi", "en", "sw"),
        ("my pile is cold", "sw", "en"),
        ("my pile is cold", "en", None),
        ("kijiti ni cold", "sw", None),
        ("stick iko cold", "sw", None),
        ("2x2x2", "sw", None),
        ("STOP", "sw", None),
        ("baridi", "en", None),
        ("qzxw vbnm", "en", None),
    ],
)
def test_the_language_is_told_when_it_is_clear(
    reader: Reader, text: str, own: str, written_in: str | None
) -> None:
    assert reader.read(text, own).written_in == written_in


def test_a_name_tells_no_language(reader: Reader) -> None:
    assert reader.read("Baridi Moto", "en", "text").written_in is None


@pytest.mark.parametrize("word", ["STOP", "HELP", "acha", "msaada"])
@pytest.mark.parametrize("own", LANGUAGES)
def test_keywords_work_in_any_language(reader: Reader, word: str, own: str) -> None:
    """Unless the word says something else in the farmer's own: the Swahili stop is a Hindi `all right`."""
    if (word, own) in {("acha", "hi"), ("acha", "hi_Latn")}:
        assert reader.read(word, own).topic is None
        return
    wanted = {"STOP": "stop", "acha": "stop", "HELP": "help", "msaada": "help"}[word]
    assert reader.read(word, own).topic == wanted


@pytest.mark.parametrize("own", LANGUAGES)
@pytest.mark.parametrize("text", ["a snake bit me", "nyoka ameniuma", "my child ate compost"])
def test_danger_is_found_in_any_language(reader: Reader, text: str, own: str) -> None:
    assert reader.read(text, own).topic == "danger"


def test_a_word_of_the_farmers_is_not_read_in_another_list(reader: Reader) -> None:
    """`si` is yes and `na` is not in other lists, `s` a yes in one, `son` a sound in one."""
    assert reader.read("samadi na majani makavu", "sw", "materials").materials is not None
    assert reader.read("maize stalks na samadi ya mbuzi", "en", "materials").unknown == ()
    assert len(reader.read("maize stalks na samadi ya mbuzi", "en", "materials").materials or ()) == 2
    assert reader.read("si baridi", "sw", "feel").answer is None
    assert reader.read("son took the stick", "en").materials is None
    assert reader.read("%s%n%x", "en", "yesno").answer is None


def test_a_misspelt_word_is_mended_in_the_farmers_language_first(reader: Reader) -> None:
    assert reader.read("my pile is colt", "en").feel in ("cold", None)
    assert [m.material for m in reader.read("goat manur", "en", "materials").materials or ()] == [
        "goat_manure"
    ]


def test_a_reader_made_like_another_reads_the_same(reader: Reader) -> None:
    again = Reader(reader.lists, like=reader)
    assert again._lexicons["en"] is reader._lexicons["en"]
    for row in labelled.rows("sw.jsonl")[::10]:
        assert again.read(row["text"], "sw", row["expect"]) == reader.read(row["text"], "sw", row["expect"])


def test_every_language_is_known_by_its_own_name_in_every_list(reader: Reader) -> None:
    """The language question shows these names."""
    names = {code: words.name for code, words in reader.lists.items() if not words.like}
    for asked in names:
        for code, name in names.items():
            assert (reader.read(name, asked, "language").language or "")[:2] == code, (asked, name)
