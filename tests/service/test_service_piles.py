"""Farmers with several piles: which one a message is about, by letter, by name, by what was last spoken of."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from phones import PHONE, Farm

OpenFarm = Callable[..., Farm]


def readings(here: Farm, letter: str) -> list[tuple[str, str | None]]:
    return [(r.kind, r.value) for r in here.bot.store.readings.latest(1, 1, letter)]


def with_two_piles(farm: OpenFarm, days_between: int = 0) -> Farm:
    here = farm()
    here.builds()
    here.passes(days=days_between)
    here.builds_another()
    return here


@pytest.mark.parametrize("text", ["pile A is hot", "A: hot", "A is hot", "hot pile a"])
def test_a_report_names_its_pile_by_letter(farm: OpenFarm, text: str) -> None:
    here = with_two_piles(farm)
    here.passes(days=1)
    assert here.texts(text)[0].startswith("Pile A: Noted. Hot is good")
    assert readings(here, "A") == [("feel", "hot")] and readings(here, "B") == []


def test_a_report_without_letter_is_about_the_pile_of_the_last_days(farm: OpenFarm) -> None:
    here = with_two_piles(farm)
    here.passes(days=1)
    assert here.texts("warm")[0].startswith("Pile B:")
    here.texts("A: hot")
    assert here.texts("warm")[0].startswith("Pile A:")


def test_when_it_is_not_clear_the_bot_asks_and_loses_nothing(farm: OpenFarm) -> None:
    here = with_two_piles(farm)
    here.clock.move_by(here.days(3.5))
    assert here.texts("58C") == ["Which pile do you mean? A, B"]
    assert here.texts("B") == [
        "Pile B: Noted. Hot is good, it kills weed seeds and germs. Careful, steam and stick can burn. Keep it damp."
    ]
    assert here.bot.store.readings.latest(1, 1, "B")[0].celsius == 58.0


@pytest.mark.parametrize(
    ("answer", "letter"), [("a", "A"), ("pile B", "B"), ("2", "B"), ("the pile A.", "A")]
)
def test_the_pile_is_answered_by_letter_or_number(farm: OpenFarm, answer: str, letter: str) -> None:
    here = with_two_piles(farm)
    here.clock.move_by(here.days(3.5))
    here.texts("I turned it")
    here.texts(answer)
    assert ("turned", "yes") in readings(here, letter)


def test_an_answer_that_is_no_pile_is_asked_again_and_a_new_report_replaces_the_old(farm: OpenFarm) -> None:
    here = with_two_piles(farm)
    here.clock.move_by(here.days(3.5))
    here.texts("cold")
    assert here.texts("Q")[0].startswith("Please answer with the letter")
    assert here.texts("A is hot")[0].startswith("Pile A: Noted. Hot")
    assert readings(here, "A") == [("feel", "hot")] and readings(here, "B") == []
    assert here.bot.pile_view(PHONE)["open_question"] is None


def test_a_pile_that_is_not_there_is_said_and_the_report_is_not_lost(farm: OpenFarm) -> None:
    here = with_two_piles(farm)
    here.clock.move_by(here.days(3.5))
    answer = here.texts("pile D is hot")
    assert answer == ["I know no pile of that letter. Which pile do you mean? A, B"]
    assert here.texts("A")[0].startswith("Pile A: Noted. Hot")


def test_a_letter_goes_past_the_question_about_another_pile(farm: OpenFarm) -> None:
    here = with_two_piles(farm)
    here.passes(days=1)
    here.texts("B: cold")
    answer = here.texts("A: warm")
    assert answer[0].startswith("Pile A: Noted. Warm") and "Pile B: Take a handful" in answer[-1]
    here.texts("dry")
    assert readings(here, "B") == [("squeeze", "dry"), ("feel", "cold")]


def test_one_message_asks_about_both_and_the_answers_find_their_piles(farm: OpenFarm) -> None:
    """Built on one day, so both first stick checks are due the same morning."""
    here = with_two_piles(farm)
    here.passes(days=4)
    (morning,) = here.sent(why="reminder")
    assert morning.text.startswith("Pile A:") and "Pile B:" in morning.text and morning.segments == 2
    assert here.texts("hot") == ["Which pile do you mean? A, B"]
    assert here.texts("A")[0].startswith("Pile A: Noted. Hot")
    assert here.texts("B: warm")[0].startswith("Pile B: Noted. Warm")
    assert readings(here, "A") == [("feel", "hot")] and readings(here, "B") == [("feel", "warm")]


def test_with_one_pile_no_letter_is_spoken_of(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.clock.move_by(here.days(3.5))
    assert here.texts("hot")[0].startswith("Noted. Hot")


@pytest.mark.parametrize(
    "text", ["A hot, B warm", "A: hot B: warm", "pile A hot and pile B warm", "A 58C, B 40C"]
)
def test_one_text_may_tell_of_several_piles(farm: OpenFarm, text: str) -> None:
    here = with_two_piles(farm)
    here.passes(days=4)
    here.texts(text)
    assert readings(here, "A") == [("feel", "hot")] and readings(here, "B") == [("feel", "warm")]
    here.texts("undo")
    assert readings(here, "A") == readings(here, "B") == []


@pytest.mark.parametrize("text", ["A hot, Q warm", "tell A and B hello", "A or B"])
def test_a_text_with_letters_that_reports_nothing_is_not_cut(farm: OpenFarm, text: str) -> None:
    here = with_two_piles(farm)
    here.passes(days=4)
    assert here.texts(text)
    assert readings(here, "B") == []


def test_build_goes_on_with_the_pile_that_does_not_stand_yet(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.texts("plan 1.5x1.5x1.5", "maize stalks, goat manure", "later", "A: hot")
    assert here.texts("build")[0].startswith("Pile B: Choose flat ground")


def test_a_report_of_a_pile_that_we_do_not_know_is_kept_until_it_is_described(farm: OpenFarm) -> None:
    here = farm()
    here.joins()
    assert here.texts("stick is cold")[0].startswith("I know of no pile of yours yet")
    assert here.texts("dry")[0].startswith("How long, wide and high"), "told twice, it is believed"
    here.texts("2x2x1.5")
    assert "dry grass, 2 green grass" in here.texts("grass and goat manure")[0]
    assert here.texts("the dry one")[0].startswith("How long ago did you build it?")
    assert here.texts("the stick is cold")[0].startswith("How long ago did you build it?")
    here.texts("3 weeks ago")
    assert "Take a handful" in here.texts("yes")[0], "the cold stick, told before, is asked about"
    assert readings(here, "A") == [("feel", "cold")]


def test_who_repeats_a_report_instead_of_describing_the_pile_is_offered_the_trainer(farm: OpenFarm) -> None:
    here = farm()
    here.joins()
    here.texts("cold")
    here.texts("yes")
    assert not any("TRAINER" in text for text in here.texts("cold") + here.texts("cold"))
    assert any("TRAINER" in text for text in here.texts("cold"))


def test_a_question_about_a_pile_that_is_being_built_comes_to_an_end(farm: OpenFarm) -> None:
    here = farm()
    here.joins()
    here.texts("plan", "2x2x2", "maize stalks, goat manure", "bucket", "yes")
    assert here.texts("done") and here.texts("done")
    assert here.texts("is the compost ready")[0].startswith("You are building your pile")
