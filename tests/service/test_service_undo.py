"""Second thoughts: UNDO takes the last report back, `I meant` puts another in its place."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from phones import PHONE, Farm

OpenFarm = Callable[..., Farm]
Readings = list[tuple[str, str | None]]


def readings(here: Farm) -> Readings:
    return [(r.kind, r.value) for r in here.bot.store.readings.latest(1, 1, "A")]


def tasks(here: Farm) -> list[tuple[str, str]]:
    return [(t["dialogue"], t["at"]) for t in here.bot.pile_view(PHONE)["next"]]


def built(farm: OpenFarm) -> Farm:
    here = farm()
    here.builds()
    here.passes(days=1)
    return here


@pytest.mark.parametrize(
    "report", ["hot", "cold", "58C", "I turned it", "it smells rotten", "too wet", "heavy rain"]
)
def test_undo_takes_a_report_back_with_all_it_caused(farm: OpenFarm, report: str) -> None:
    here = built(farm)
    before = here.bot.pile_view(PHONE)
    here.texts(report)
    assert readings(here), "the report was kept"
    answer = here.texts("UNDO")[0]
    assert f'I took back your message "{report}"' in answer
    after = here.bot.pile_view(PHONE)
    assert after == before


def test_undo_puts_the_question_again_that_was_open(farm: OpenFarm) -> None:
    here = built(farm)
    here.passes(days=3)
    here.texts("cold")
    answer = here.texts("undo")[0]
    assert 'took back your message "cold"' in answer and "Cold, warm or hot?" in answer
    assert here.texts("warm")[0].startswith("Noted. Warm")
    assert readings(here) == [("feel", "warm")]


def test_undo_takes_back_one_report_only(farm: OpenFarm) -> None:
    here = built(farm)
    here.texts("hot", "I watered it", "undo")
    assert readings(here) == [("feel", "hot")]
    assert here.texts("undo")[0].startswith("There is nothing to take back")
    assert readings(here) == [("feel", "hot")]


def test_undo_brings_back_a_pile_that_was_given_up(farm: OpenFarm) -> None:
    here = built(farm)
    before = here.bot.pile_view(PHONE)
    here.texts("my pile was stolen", "no")
    assert here.bot.pile_view(PHONE)["piles"] == []
    assert 'took back your message "no"' in here.texts("undo")[0]
    after = here.bot.pile_view(PHONE)
    assert (after["piles"][0]["stage"], tasks(here)) == (
        "working",
        [(t["dialogue"], t["at"]) for t in before["next"]],
    )


def test_an_old_report_is_not_undone(farm: OpenFarm) -> None:
    """Reminders have come and gone since, and were set by what was told."""
    here = built(farm)
    here.texts("hot")
    here.passes(days=2.1)
    assert here.texts("undo")[0].startswith("There is nothing to take back")


def test_rain_told_before_comes_back_when_the_newer_is_undone(farm: OpenFarm) -> None:
    here = built(farm)
    day = here.clock.now().astimezone(here.config.timezone()).date()
    here.texts("rain 5 mm", "rain 40 mm", "undo")
    assert here.bot.store.rain.of_day("line 1", day, "farmer") == 5.0


@pytest.mark.parametrize("text", ["no, I meant warm", "I meant warm", "meant warm"])
def test_i_meant_puts_another_reading_in_place_of_the_last(farm: OpenFarm, text: str) -> None:
    here = built(farm)
    here.texts("cold")
    assert here.texts(text)[0].startswith("Noted. Warm")
    assert readings(here) == [("feel", "warm")]
    assert here.bot.pile_view(PHONE)["open_question"] is None


def test_i_meant_reaches_past_a_report_of_another_kind(farm: OpenFarm) -> None:
    here = built(farm)
    here.texts("hot", "rain 5 mm", "I meant warm")
    assert sorted(readings(here)) == [("feel", "warm"), ("rain", "5")]


def test_i_meant_without_a_value_asks_what_is_right(farm: OpenFarm) -> None:
    here = built(farm)
    here.texts("hot")
    assert here.texts("I meant")[0].startswith("What is right?")
    assert readings(here) == [("feel", "hot")]
