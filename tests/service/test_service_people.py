"""Several people on one phone, and one person who gets another phone."""

from __future__ import annotations

from collections.abc import Callable

from phones import PHONE, Farm

OpenFarm = Callable[..., Farm]


def shared(farm: OpenFarm) -> Farm:
    """Amina with a pile, and Juma who has just joined from her phone."""
    here = farm()
    here.builds()
    here.texts("other person", "Juma", "English", "Upper Field", "yes")
    return here


def test_another_person_is_asked_for_the_name_and_joins_with_consent(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    assert here.texts("other person")[0].startswith("Who is writing? 1 Amina.")
    assert here.texts("Juma")[0].startswith("Juma: Warmheap: free compost advice")
    assert "Agree? YES or NO" in here.texts("English", "Upper Field")[0]
    assert here.texts("yes")[0].startswith("Juma: Welcome, Juma!")
    people = here.bot.store.farmers.of_line(1)
    assert [(f.name, f.consent_at is not None) for f in people] == [("Amina", True), ("Juma", True)]


def test_the_line_remembers_who_wrote_last(farm: OpenFarm) -> None:
    here = shared(farm)
    assert here.texts("cold")[0].startswith("Juma: I know of no pile of yours yet")
    here.passes(days=1)
    assert here.texts("no")[0].startswith("Juma: ")


def test_a_text_that_opens_with_a_name_speaks_for_that_person(farm: OpenFarm) -> None:
    here = shared(farm)
    assert here.texts("Amina: hot")[0].startswith("Amina: Noted. Hot is good")
    assert [r.value for r in here.bot.store.readings.latest(1, 1, "A")] == ["hot"]
    assert here.texts("hot")[0].startswith("Amina: Noted."), "she goes on"
    assert here.texts("juma, how much manure for 2x2x2")[0].startswith("Juma: 2x2x2 m: about")


def test_a_name_alone_or_inside_a_word_speaks_for_nobody(farm: OpenFarm) -> None:
    here = shared(farm)
    here.texts("Aminah: hot", "Amina")
    assert here.bot.store.readings.latest(1, 1, "A") == []


def test_known_people_change_by_number_and_each_goes_on_with_the_own_question(farm: OpenFarm) -> None:
    here = shared(farm)
    here.texts("plan")
    answers = here.texts("other person", "1")
    assert answers == [
        "Amina: Good, now we write with Amina. Begin a message with a name to write for that person."
    ]
    assert here.texts("hot")[0].startswith("Amina: Noted.")
    answers = here.texts("other person", "juma")
    assert "now we write with Juma" in answers[0] and "How long, wide and high" in answers[-1]
    assert all(answer.startswith("Juma: ") for answer in answers)


def test_a_number_that_is_nobodys_is_asked_again(farm: OpenFarm) -> None:
    here = shared(farm)
    assert here.texts("other person", "7")[0].startswith(
        "Juma: Please write the number, or a name. 1 Amina, 2 Juma"
    )


def test_with_one_person_no_name_comes_first(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    assert here.texts("hot")[0].startswith("Noted.")


def test_stop_is_for_the_whole_phone(farm: OpenFarm) -> None:
    here = shared(farm)
    here.texts("STOP")
    assert here.texts("Amina: hot") == []


def test_a_new_number_goes_to_the_trainer_who_moves_the_farmer(farm: OpenFarm) -> None:
    here = farm()
    here.builds()
    here.texts("warm", "new number", "+447700900055")
    (question,) = [q for q in here.bot.store.questions.open() if q.kind == "number"]
    assert question.text == "+447700900055"
    here.bot.store.moving.move(1, 1, "+447700900055", here.clock.now())
    assert here.bot.pile_view(PHONE) == {}
    here.passes(days=5)
    assert [e.dialogue for e in here.sent("+447700900055", "reminder")] == ["stick"]
    assert here.texts("hot", phone="+447700900055")[0].startswith("Noted.")


def test_an_unknown_group_code_is_said_and_one_may_join_all_the_same(farm: OpenFarm) -> None:
    here = farm()
    answer = " ".join(here.texts("JOIN HILL9"))
    assert answer.startswith("I know no group HILL9.") and "Language?" in answer
    assert here.texts("English", "Amina", "Green Hill", "yes")[0].startswith("Welcome, Amina!")
    assert here.texts("JOIN HILL9")[0].startswith("You have joined already. I know no group HILL9.")
