"""Every season is played in every language, in the farmer's own words, and the page of costs tells what it takes."""

from __future__ import annotations

from pathlib import Path

import pytest

from bot.reading.words import WordList, load_languages

from .costs import PAGE, page, segments
from .seasons import LOCALES, conversation, seasons, target

LISTS = load_languages(LOCALES)
CASES = [pytest.param(s, LISTS[c], id=f"{c}/{s.stem}") for c in LISTS for s in seasons()]
MOST_SEGMENTS = 40


@pytest.mark.parametrize(("season", "words"), CASES)
def test_the_farmer_of_each_language_lives_the_season(season: Path, words: WordList) -> None:
    """What the farmer writes comes from the season and the word list; the replies are compared in test_golden."""
    played = target(season, words.code).read_text(encoding="utf-8")
    kept = [line for line in played.splitlines() if not line.startswith("<")]
    assert kept == conversation(season, words).splitlines()


def test_a_season_of_one_pile_stays_within_its_segments() -> None:
    quick = next(s for s in seasons() if s.stem == "quick")
    assert segments(target(quick, "en")) <= MOST_SEGMENTS


def test_the_page_of_costs_is_up_to_date() -> None:
    text = PAGE.read_text(encoding="utf-8")
    assert page(text) == text
