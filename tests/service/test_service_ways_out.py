"""No question is put without end: ways round it, and what is told too early is kept."""

from __future__ import annotations

from collections.abc import Callable

from phones import PHONE, Farm

OpenFarm = Callable[..., Farm]


def language(here: Farm) -> str | None:
    return here.bot.pile_view(PHONE)["farmer"]["language"]


def test_who_does_not_say_the_language_is_written_to_in_the_first(farm: OpenFarm) -> None:
    here = farm()
    assert "Language?" in here.texts("JOIN")[0]
    assert here.texts("zzqx")[0].startswith("Please answer with the number")
    assert here.texts("Qwrmbl")[0] == "What is your name?"
    assert language(here) == "en"


def test_a_sentence_in_a_language_answers_the_question_for_it(farm: OpenFarm) -> None:
    here = farm()
    here.texts("JOIN")
    assert here.texts("nataka kutengeneza mboji shambani kwangu")[0] == "Jina lako ni nani?"
    assert language(here) == "sw"


def test_a_question_is_no_name(farm: OpenFarm) -> None:
    here = farm()
    here.texts("JOIN", "English")
    assert here.texts("how do i make compost")[-1].endswith("What is your name?")


def test_materials_told_while_the_size_is_asked_are_kept(farm: OpenFarm) -> None:
    here = farm()
    here.joins()
    here.texts("plan")
    assert here.texts("maize stalks and goat manure")[0].startswith("I have noted that. How long")
    assert here.texts("2x2x2")[0].startswith("What will you carry it in?")


def test_who_cannot_tell_a_size_is_offered_the_usual_one(farm: OpenFarm) -> None:
    here = farm()
    here.joins()
    here.texts("plan", "big")
    assert here.texts("very big")[0].startswith("Shall we take the usual 2x2x2 m?")
    assert here.texts("yes")[0].startswith("What do you have?")


def test_a_size_told_unasked_begins_a_plan(farm: OpenFarm) -> None:
    here = farm()
    here.joins()
    assert here.texts("2 by 1.5 by 1 metres")[0].startswith("What do you have?")
