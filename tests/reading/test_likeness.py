"""A language may be written in a second way: the same words are read, other names are said."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from bot.commands.read import LOCALES
from bot.datafile import BadFile, parse_document
from bot.reading.reader import Reader
from bot.reading.words import WordList, load_languages
from bot.wording.speaker import WordNames

ENGLISH = (LOCALES / "en" / "words.yaml").read_text(encoding="utf-8")


def loud(**changes: object) -> dict[str, object]:
    """English in capitals, as a list of names alone."""
    english = parse_document(ENGLISH, "en").data
    named = ("measures", "materials", "forbidden", "crops")
    names = {
        section: {each: {"say": _capitals(words["say"])} for each, words in english[section].items()}
        for section in named
    }
    terms = {term: text.upper() for term, text in english["terms"].items() if term != "amount_of"}
    terms["amount_of"] = "{material}: {amount}"
    return {"like": "en", "name": "ENGLISH", "review": "draft", **names, "terms": terms, **changes}


def _capitals(say: str | dict[str, str]) -> str | dict[str, str]:
    return say.upper() if isinstance(say, str) else {k: v.replace("bucket", "BUCKET") for k, v in say.items()}


def languages(folder: Path, second: dict[str, object]) -> dict[str, WordList]:
    for code, text in (("en", ENGLISH), ("en_LOUD", yaml.safe_dump(second, allow_unicode=True))):
        (folder / code).mkdir()
        (folder / code / "words.yaml").write_text(text, encoding="utf-8")
    return load_languages(folder)


def test_the_same_words_are_read_and_other_names_are_said(tmp_path: Path) -> None:
    lists = languages(tmp_path, loud())
    assert lists["en_LOUD"].name == "ENGLISH" and lists["en_LOUD"].code == "en_LOUD"
    assert WordNames(lists["en"]).material("goat_manure") == "goat manure"
    assert WordNames(lists["en_LOUD"]).material("goat_manure") == "GOAT MANURE"
    assert WordNames(lists["en_LOUD"]).measure("bucket")["other"] == "{n} BUCKETs"
    assert WordNames(lists["en_LOUD"]).term("meat") == "MEAT"
    reader = Reader(lists)
    for text in ("2 bkts goat dung, chiken manure", "stick cme out cld", "no", ""):
        assert reader.read(text, "en_LOUD", "materials") == reader.read(text, "en", "materials")


def test_a_second_way_to_write_costs_no_second_index(tmp_path: Path) -> None:
    assert list(Reader(languages(tmp_path, loud()))._lexicons) == ["en"]


def test_a_second_way_to_write_is_read_where_the_first_is_not_offered(tmp_path: Path) -> None:
    lists = languages(tmp_path, loud())
    only = Reader({"en_LOUD": lists["en_LOUD"]})
    both = Reader(lists)
    text = "2 bkts goat dung, chiken manure"
    assert only.read(text, "en_LOUD", "materials").materials == both.read(text, "en", "materials").materials
    assert only.read("english", "en_LOUD", "language").language == "en_LOUD"
    assert (only.list_of("en"), both.list_of("en_LOUD")) == ("en_LOUD", "en")


def test_hindi_is_offered_in_the_script_that_it_is_asked_for_in() -> None:
    lists = load_languages(LOCALES)
    reader = Reader({code: lists[code] for code in ("en", "hi", "hi_Latn")})
    assert reader.read("हिन्दी", "en", "language").language == "hi"
    assert reader.read("hindi", "en", "language").language == "hi_Latn"
    assert reader.read("roman hindi", "hi", "language").language == "hi_Latn"
    assert reader.read("mera dher thanda pad gaya hai", "en").written_in == "hi_Latn"
    assert reader.read("मेरा ढेर ठंडा पड़ गया है", "en").written_in == "hi"
    assert reader.read("मेरा ढेर ठंडा पड़ गया है", "hi_Latn").written_in is None


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"like": "xx"}, "'xx' has no word list"),
        ({"like": "en_LOUD"}, "'en_LOUD' has no word list"),
        ({"materials": {"ash": {"say": "ASH"}}}, "materials: missing: maize_stalks"),
        ({"terms": {}}, "terms: missing: amount_of"),
        ({"skip": ["the"]}, "unknown field `skip`"),
        ({"materials": {"ash": {"say": "ASH", "words": ["ash"]}}}, "unknown field `words`"),
        ({"measures": {"bucket": {"say": {"other": "a bucket"}}}}, "measures: missing"),
    ],
)
def test_a_mistake_is_named(tmp_path: Path, changes: dict[str, object], problem: str) -> None:
    with pytest.raises(BadFile, match=problem) as caught:
        languages(tmp_path, loud(**changes))
    assert "en_LOUD" in caught.value.file and caught.value.line


def test_an_amount_must_hold_its_number(tmp_path: Path) -> None:
    second = loud()
    measures = second["measures"]
    assert isinstance(measures, dict)
    measures["bucket"]["say"]["one"] = "a bucket"
    with pytest.raises(BadFile, match=r"measures.bucket.say.one: must hold \{n\}"):
        languages(tmp_path, second)
