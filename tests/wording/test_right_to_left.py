"""Messages that run from right to left, with words and numbers that run the other way (Unicode UAX 9)."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from bot.reading.words import load_languages
from bot.wording.direction import astray, closed, is_right_to_left
from bot.wording.speaker import Speaker, WordNames
from bot.wording.values import Writer

LOCALES = Path(__file__).parents[2] / "locales"
LISTS = load_languages(LOCALES)
LRM, RLM = "\u200e", "\u200f"


def write(kind: str, value: Any, language: str = "ar") -> str:
    return Writer(language, WordNames(LISTS[language]), {}).write(kind, value)


def test_the_direction_of_a_language_is_that_of_cldr() -> None:
    assert {code for code in LISTS if is_right_to_left(code)} == {"ar"}
    assert is_right_to_left("fa") and is_right_to_left("ur")


@pytest.mark.parametrize(
    ("text", "language", "shown"),
    [
        ("Amina", "ar", "Amina" + RLM),
        ("Hindi (Roman)", "ar", "Hindi (Roman)" + LRM + RLM),
        ("حليمة", "ar", "حليمة"),
        ("2x2x1.5 متر", "ar", "2x2x1.5 متر"),
        ("12", "ar", "12"),
        ("العربية", "en", "العربية" + LRM),
        ("Amina", "en", "Amina"),
        ("", "ar", ""),
    ],
)
def test_a_value_of_the_other_direction_is_closed(text: str, language: str, shown: str) -> None:
    assert closed(text, language) == shown


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("كومة 2x2x1.5 متر. 3 جرادل", None),
        ("اللغة؟ 1 English" + RLM + "، 2 Hausa", None),
        ("اللغة؟ 1 English, 2 Hausa", "اللغة؟ 1 English, 2"),  # UAX 9, W7: the 2 would join the English run
        ("كومة 2x2x2 m. 3 جرادل", "كومة 2x2x2 m. 3"),
        ("Amina، كيف الكومة؟", "Amina، كيف الكومة؟"),  # UAX 9, P2: its first letter sets the whole message
    ],
)
def test_a_message_shown_out_of_order_is_found(text: str, found: str | None) -> None:
    assert astray(text, "ar") == found and astray(text, "en") is None


@pytest.mark.parametrize(
    ("n", "text"),
    [  # CLDR, ar: zero, one, two, few (3 to 10), many (11 to 99), other (100, and fractions)
        (0, "0 جردل"),
        (1, "1 جردل"),
        (2, "2 جردل"),
        (3, "3 جرادل"),
        (11, "11 جردلا"),
        (100, "100 جردل"),
        (103, "103 جرادل"),
        (1.5, "1.5 جردل"),
        (0.5, "نصف جردل"),
    ],
)
def test_amounts_in_every_plural_form(n: float, text: str) -> None:
    assert write("amount", {"n": n, "measure": "bucket"}) == text


def test_sizes_and_lists_are_written_in_the_languages_own_way() -> None:
    assert write("size", [2, 2, 1.5]) == "2x2x1.5 متر" and write("size", [2, 2, 1.5], "en") == "2x2x1.5 m"
    assert (
        write("terms", ["meat", "bones"]) == "لحم، عظام"
        and write("terms", ["meat", "bones"], "en") == "meat, bones"
    )


def test_every_language_is_named_in_order_whichever_way_the_message_runs() -> None:
    speaker = Speaker(LISTS, LOCALES)
    for code in LISTS:
        named = speaker.writer(code).write("languages", "languages")
        assert astray("اللغة؟ " + named, code) is None
        assert [
            part.strip(f"{LRM}{RLM} ").split(" ", 1)[0] for part in named.replace("،", ",").split(",")
        ] == [str(n) for n in range(1, len(LISTS) + 1)]
