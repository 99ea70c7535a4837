"""Letters outside the GSM 7-bit alphabet, folded where that saves a segment (3GPP TS 23.038; tables in test_segments)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.wording.folding import Folder
from bot.wording.segments import CHAT_MOST, count, pack_chat

PORTUGUESE = Folder({"ç": "c", "ã": "a", "õ": "o", "á": "a", "ê": "e", "ó": "o"})


def test_a_letter_is_folded_only_where_that_saves_a_segment() -> None:
    short, long = "Não agora.", "A pilha está seca. " * 6
    assert PORTUGUESE.cheaper(short) == short
    assert PORTUGUESE.cheaper(long) == long.replace("á", "a")
    assert (count(long).segments, count(PORTUGUESE.cheaper(long)).segments) == (2, 1)


def test_letters_of_the_alphabet_stay() -> None:
    """à, é, è, ù, ì, ò, ñ and ü stand in GSM 03.38 itself: nothing is gained by folding them."""
    text = "àéèùìòñü " * 12
    assert PORTUGUESE.cheaper(text) == text


def test_a_letter_that_the_language_does_not_give_up_stays_though_it_costs_more() -> None:
    text = "ç" * 100
    assert Folder({}).cheaper(text) == text


def test_capitals_fold_with_their_small_letters_and_marks_in_every_language() -> None:
    assert PORTUGUESE.folded("ÇÃO") == "CAO"
    assert Folder({}).folded("“l’eau” – 2…") == '"l\'eau" - 2...'


@given(st.text(max_size=400))
def test_folding_never_costs_more(text: str) -> None:
    assert count(PORTUGUESE.cheaper(text)).segments <= count(text).segments


@pytest.mark.parametrize(
    ("lengths", "groups"),
    [([10, 20, 30], [[0, 1, 2]]), ([600, 400, 300], [[0], [1, 2]]), ([CHAT_MOST + 1, 1], [[0], [1]])],
)
def test_a_chat_joins_as_many_texts_as_a_screen_shows(lengths: list[int], groups: list[list[int]]) -> None:
    assert pack_chat(["x" * n for n in lengths]) == groups
