"""What we promise to say: whole conversations, compared to the letter. `python -m tests.golden.rewrite` renews them."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest

from bot.reading.words import load_languages

from .runner import FOLDER, BadConversation, conversations, play, played, replies

LANGUAGES = ("en", "sw")
NAMES = {code: words.name for code, words in load_languages(FOLDER.parents[1] / "locales").items()}
ITEMS = range(1, 9)
"""The numbered items of what a farmer can do: enrol, ask, plan, build, care, report, hand over, digress."""


@pytest.mark.parametrize("path", conversations(), ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_the_bot_answers_as_the_file_says(path: Path) -> None:
    text, missed = played(path)
    assert text == path.read_text(encoding="utf-8")
    # Nobody need know a command: a season is lived in any language without one message asked again.
    assert not (path.stem.startswith("9_") and missed)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("item", ITEMS)
def test_every_item_has_a_conversation_in_every_language(language: str, item: int) -> None:
    found = list((FOLDER / language).glob(f"{item}_*.txt"))
    assert found and all(len(replies(path.read_text(encoding="utf-8"))) >= 1 for path in found)


def test_every_conversation_is_there_in_both_languages() -> None:
    english, swahili = ({p.name for p in (FOLDER / language).glob("*.txt")} for language in LANGUAGES)
    assert english == swahili


@pytest.mark.parametrize("path", conversations(), ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_no_message_is_dearer_than_its_script_allows(path: Path) -> None:
    """Two segments of the cheap alphabet, or one with accents, which costs the same as one without; in a script of
    its own three, which hold no more letters."""
    cheap = "LATIN" in unicodedata.name(NAMES[path.parent.name][0])
    allowed = ("[1 GSM-7]", "[2 GSM-7]", "[1 UCS-2]") if cheap else ("[1 UCS-2]", "[2 UCS-2]", "[3 UCS-2]")
    for line in replies(path.read_text(encoding="utf-8")):
        assert any(cost in line for cost in allowed), line


def test_a_file_in_which_nothing_is_answered_fails(tmp_path: Path) -> None:
    folder = tmp_path / "en"
    folder.mkdir()
    (folder / "1_silent.txt").write_text("# nobody writes\n@ 1d\n", encoding="utf-8")
    with pytest.raises(BadConversation, match="nothing is answered"):
        play(folder / "1_silent.txt")


def test_a_line_that_cannot_be_followed_is_named(tmp_path: Path) -> None:
    folder = tmp_path / "en"
    folder.mkdir()
    (folder / "1_odd.txt").write_text("> JOIN\nPLAN\n", encoding="utf-8")
    with pytest.raises(BadConversation, match="1_odd.txt, line 2: cannot follow 'PLAN'"):
        play(folder / "1_odd.txt")
