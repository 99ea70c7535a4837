"""Machines are not answered, insults calmly, and a farmer who writes in another language is asked, not switched."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from phones import PHONE, Farm

OpenFarm = Callable[..., Farm]


@pytest.mark.parametrize(
    "text",
    [
        "CONGRATULATIONS you have won a prize! Dial *123# now",
        "This is an automated reply: I am driving, cannot talk now",
        "The subscriber you are calling is not available. Please leave a voice mail",
    ],
)
def test_adverts_and_automatic_replies_get_no_answer(farm: OpenFarm, text: str) -> None:
    here = farm()
    here.joins()
    assert here.texts(text) == []
    assert here.texts("how much manure for 2x2x2")


def test_two_machines_stop_talking(farm: OpenFarm) -> None:
    here = farm()
    here.joins()
    answers = [here.texts(f"zorblax quimple {n} frobnicate") for n in range(20)]
    assert answers[0] and sum(bool(answer) for answer in answers) <= 6 and not answers[-1]
    assert here.texts("help") and here.texts("zorblax quimple")  # a person is heard again at once


@pytest.mark.parametrize("text", ["you are useless idiots", "stupid"])
def test_an_insult_gets_a_calm_and_short_answer(farm: OpenFarm, text: str) -> None:
    here = farm()
    here.joins()
    (answer,) = here.texts(text)
    assert "TRAINER" in answer and "STOP" in answer and len(answer) <= 160


def test_what_an_angry_farmer_tells_counts(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    assert "squeeze" in here.texts("stupid, my pile is cold")[-1].lower()


def test_a_name_is_kept_short_and_free_of_pictures(farm: OpenFarm) -> None:
    here = farm()
    (answer,) = here.texts("JOIN", "English", "😀 Amina 🌱 Otieno")
    assert answer.startswith("Amina Otieno,")
    (answer,) = here.texts("Green Hill " * 9)
    here.texts("yes", "change my name", "x" * 60)
    assert len(here.bot.pile_view(PHONE)["farmer"]["name"]) == 24
    assert here.bot.pile_view(PHONE)["farmer"]["place"] == "Green Hill Green Hill Gr"


def test_another_language_is_offered_once_and_not_forced(farm: OpenFarm) -> None:
    here = farm(languages=("en", "sw"))
    here.builds()
    first = here.texts("rundo ni moto sana")
    assert "Kiswahili" in first[-1] and "Hot is good" in " ".join(first)
    assert "Kiswahili" not in " ".join(here.texts("rundo lina harufu mbaya ya mkojo"))
    assert "Kiswahili" in " ".join(here.texts("LUGHA"))
    assert "Kiswahili" in here.texts("2")[0]
    assert here.bot.pile_view(PHONE)["farmer"]["language"] == "sw"
