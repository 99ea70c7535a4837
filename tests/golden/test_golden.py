"""What we promise to say: whole conversations, compared to the letter. `python -m tests.golden.rewrite` renews them."""

from __future__ import annotations

from pathlib import Path

import pytest

from .runner import FOLDER, BadConversation, conversations, play, replies

LANGUAGES = ("en", "sw")
ITEMS = range(1, 9)
"""The numbered items of what a farmer can do: enrol, ask, plan, build, care, report, hand over, digress."""


@pytest.mark.parametrize("path", conversations(), ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_the_bot_answers_as_the_file_says(path: Path) -> None:
    assert play(path) == path.read_text(encoding="utf-8")


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("item", ITEMS)
def test_every_item_has_a_conversation_in_every_language(language: str, item: int) -> None:
    found = list((FOLDER / language).glob(f"{item}_*.txt"))
    assert found and all(len(replies(path.read_text(encoding="utf-8"))) >= 1 for path in found)


def test_every_conversation_is_there_in_both_languages() -> None:
    english, swahili = ({p.name for p in (FOLDER / language).glob("*.txt")} for language in LANGUAGES)
    assert english == swahili


@pytest.mark.parametrize("path", conversations(), ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_no_message_costs_more_than_two_segments_or_leaves_the_cheap_alphabet(path: Path) -> None:
    for line in replies(path.read_text(encoding="utf-8")):
        assert "[1 GSM-7]" in line or "[2 GSM-7]" in line, line


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
