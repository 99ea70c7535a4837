"""What stands beside a report: the pile's letter, names, adverts, nothing there, answers told in words."""

from __future__ import annotations

import pytest

from bot.reading.clusters import clusters, counted
from bot.reading.meaning import Kind
from bot.reading.reader import Reader


@pytest.mark.parametrize(
    ("text", "letter"),
    [
        ("pile B cold", "B"), ("pile b is hot", "B"), ("B is cold", "B"), ("B: hot", "B"), ("A: smells bad", "A"),
        ("pile A is wet", "A"), ("B 58C", "B"), ("C is 58C", "C"), ("how much manure for pile A", "A"), ("B", "B"),
        ("turned B", "B"), ("A pile is cold", None), ("PILE A COLD", None), ("A", None), ("a pile of 2x2x2", None),
        ("58 C", None), ("L 2 W 2 H 1.5", None), ("vitamin C in my pile", None), ("pile A and pile B are cold", None),
        ("pile Z cold", None),
    ],
)  # fmt: skip
def test_the_letter_of_a_pile(reader: Reader, text: str, letter: str | None) -> None:
    assert reader.read(text, "en").pile == letter


def test_a_letter_takes_nothing_from_the_rest(reader: Reader) -> None:
    meaning = reader.read("B 58C", "en")
    assert (meaning.celsius, meaning.topic) == (58, "feel")
    assert reader.read("L 2 W 2 H 1.5", "en", "size").size_m == (2, 2, 1.5)


@pytest.mark.parametrize(
    ("text", "language", "name"),
    [
        ("my name is Mary", "en", "Mary"), ("I am Juma Baridi", "en", "Juma Baridi"), ("My name's Mary", "en", "Mary"),
        ("ninaitwa Juma", "sw", "Juma"), ("mimi ni Asha", "sw", "Asha"), ("ninaitwa Juma", "en", "Juma"),
        ("Mary", "en", None), ("my name is", "en", None),
        ("i am worried about the smell of my pile, what shall i do", "en", None),
    ],
)  # fmt: skip
def test_what_only_leads_to_a_name_is_left_out(
    reader: Reader, text: str, language: str, name: str | None
) -> None:
    assert reader.read(text, language, "text").rest == name


@pytest.mark.parametrize(
    "text",
    [
        "Congratulations you have won 50,000! Dial *123# to claim your prize now. Fire sale, reply STOP to end",
        "Get 1GB data bundle for 20. Dial *544# today",
        "Your voicemail box is full, in an emergency dial 112",
        "This is an automatic reply. I am away until Monday with my 2 goats.",
        "Hongera umeshinda shilingi 50000 piga *123# sasa",
    ],
)
@pytest.mark.parametrize("expect", [None, "size", "yesno", "materials", "text"])
def test_an_advert_says_nothing_of_a_pile(reader: Reader, text: str, expect: Kind | None) -> None:
    meaning = reader.read(text, "en", expect)
    assert meaning.stranger in ("advert", "auto_reply")
    assert not meaning.understood
    said = (meaning.topic, meaning.size_m, meaning.materials, meaning.answer, meaning.word, meaning.number)
    assert said == (None,) * 6


def test_a_farmer_who_calls_back_is_no_machine(reader: Reader) -> None:
    meaning = reader.read("i will call back, my pile is cold", "en")
    assert (meaning.feel, meaning.stranger) == ("cold", None)
    assert reader.read("sorry i missed your call, my child ate compost", "en").topic == "danger"


def test_an_insult_does_not_hide_the_report(reader: Reader) -> None:
    meaning = reader.read("stupid pile is cold", "en")
    assert (meaning.feel, meaning.stranger, meaning.understood) == ("cold", "insult", True)
    assert not reader.read("you are stupid", "en").understood


@pytest.mark.parametrize(
    ("text", "expect", "nothing"),
    [
        ("no smell", "smell", True), ("none", "smell", True), ("it doesnt smell", "smell", True),
        ("no bad smell", "smell", False),
        ("no", "animals", True), ("no flies", "animals", True), ("none", "animals", True), ("flies", "animals", False),
        ("no", "yesno", False), ("no smell", None, False),
    ],
)  # fmt: skip
def test_nothing_there(reader: Reader, text: str, expect: Kind | None, nothing: bool) -> None:
    meaning = reader.read(text, "en", expect)
    assert meaning.nothing is nothing
    assert meaning.understood or not nothing


@pytest.mark.parametrize(
    ("text", "expect", "choice"),
    [
        ("crumbly", "look", "crumbly"), ("like soil", "look", "soil"), ("black", "colour", "dark"),
        ("some", "pieces", "some"),
        ("the season", "matter", "season"), ("2", "look", None), ("black", "look", None), ("crumbly", None, None),
    ],
)  # fmt: skip
def test_a_listed_answer_may_be_told_in_words(
    reader: Reader, text: str, expect: Kind | None, choice: str | None
) -> None:
    assert reader.read(text, "en", expect).choice == choice


@pytest.mark.parametrize(
    "text", ["it is hot today", "very cold this morning", "the nights are cold", "i am cold"]
)
def test_weather_talk_is_not_the_heat_of_the_pile(reader: Reader, text: str) -> None:
    assert reader.read(text, "en").feel is None
    assert reader.read(f"the stick is hot, {text.replace('cold', 'hot')}", "en").feel == "hot"


def test_asked_for_the_heat_it_is_hot_today_answers(reader: Reader) -> None:
    assert reader.read("it is hot today", "en", "feel").feel == "hot"


def test_a_lesson_asked_for_is_no_topic_and_lists_nothing(reader: Reader) -> None:
    meaning = reader.read("is raw manure safe for my vegetables", "en")
    assert (meaning.lesson, meaning.topic, meaning.materials) == ("raw_manure", None, None)
    assert reader.read("how much water", "en").topic == "water"


def test_texts_of_like_letters_or_words_come_together() -> None:
    found = clusters(
        [
            "my glimberry",
            "my glimbery",
            "glimberry my",
            "what is sump",
            "hm",
            "ha",
            "hm",
            "+447700900123 hello there",
        ]
    )
    assert [(each.count, [text for text, _ in each.texts]) for each in found] == [
        (3, ["glimberry my", "my glimberry", "my glimbery"]),
        (2, ["hm"]),
        (1, ["# hello there"]),
        (1, ["ha"]),
        (1, ["what is sump"]),
    ]
    assert counted(["a", "b", "a"], 2) == [("a", 2)]
