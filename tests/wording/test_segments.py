"""What a text costs. Ids such as SMS-05 number the reference values used here.

Sources: 3GPP TS 23.038 (alphabet), 3GPP TS 23.040 clause 9.2.3.24.1 (parts), the Unicode Consortium's mapping of
GSM 03.38 v1.1. Marks: `seen` read in the source, `seen, restated` read in a document that restates it,
`definition` follows from the definition.
"""

from __future__ import annotations

import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.wording.segments import GSM_JOINED, GSM_ONE, UCS_JOINED, UCS_ONE, count, pack, septets

EXTENSION = "\f^{}\\[~]|€"


def test_the_alphabet_has_127_characters_and_an_extension_table() -> None:
    """SMS-01, seen: 128 codes of which one is the escape; ten characters reached through it."""
    sizes = [septets(chr(code)) for code in range(0x3000)]
    assert (sizes.count(1), sizes.count(2)) == (127, 10)
    assert all(septets(character) == 2 for character in EXTENSION)


def test_the_room_in_one_message_and_in_a_part_of_a_joined_one() -> None:
    """SMS-02 and SMS-03, seen, restated: 1120 bits less a header of 6 octets."""
    assert (GSM_ONE, UCS_ONE) == (1120 // 7, 1120 // 16) == (160, 70)
    assert (GSM_JOINED, UCS_JOINED) == ((1120 - 48) // 7, (1120 - 48) // 16) == (153, 67)


@pytest.mark.parametrize(
    ("letters", "parts"), [(0, 1), (160, 1), (161, 2), (306, 2), (307, 3), (460, 4), (39015, 255)]
)
def test_parts_of_plain_text(letters: int, parts: int) -> None:
    """SMS-05, definition; the last is SMS-18, seen, restated: 255 parts of 153."""
    assert (count("a" * letters).segments, count("a" * letters).encoding) == (parts, "GSM-7")


@pytest.mark.parametrize(("units", "parts"), [(70, 1), (71, 2), (134, 2), (135, 3)])
def test_parts_of_other_text(units: int, parts: int) -> None:
    """SMS-06, definition."""
    assert (count("ж" * units).segments, count("ж" * units).encoding) == (parts, "UCS-2")


@pytest.mark.parametrize(
    ("text", "units", "parts"), [("€" * 80, 160, 1), ("a" * 158 + "€", 160, 1), ("a" * 159 + "€", 161, 2)]
)
def test_a_character_of_the_extension_counts_twice(text: str, units: int, parts: int) -> None:
    """SMS-07, definition."""
    assert (count(text).units, count(text).segments) == (units, parts)


def test_a_pair_is_not_split_between_parts() -> None:
    """SMS-04, seen, restated, and SMS-08, definition: 306 septets, but 152 + 153 + 1."""
    found = count("a" * 152 + "€" + "a" * 152)
    assert (found.units, found.segments) == (306, 3)
    astral = count("ж" * 66 + "🌱" + "ж" * 66)  # a UCS-2 pair at the border of 67
    assert (astral.units, astral.segments) == (134, 3)


def test_the_small_cedilla_is_not_in_the_alphabet_and_the_capital_is() -> None:
    """SMS-09, seen."""
    assert (count("Ç").encoding, count("ç").encoding) == ("GSM-7", "UCS-2")


@pytest.mark.parametrize("character", "éèùìòàñäöüå")
def test_accents_that_cost_one_septet(character: str) -> None:
    """SMS-10, seen."""
    assert septets(character) == 1


@pytest.mark.parametrize("character", "áíóúãêç")
def test_accents_that_force_the_dear_alphabet(character: str) -> None:
    """SMS-10, seen."""
    assert count("Karibu " + character).encoding == "UCS-2"


def test_an_astral_character_takes_two_units() -> None:
    """SMS-11, seen, restated: 35 of them fill one message."""
    assert (count("🌱" * 35).segments, count("🌱" * 36).segments, count("🌱").encoding) == (1, 2, "UCS-2")


def test_a_line_end_of_two_characters_costs_two() -> None:
    """SMS-19, seen."""
    assert (count("\n").units, count("\r\n").units, count("\r\n").encoding) == (1, 2, "GSM-7")


def test_the_units_of_any_text_fit_its_parts() -> None:
    @settings(max_examples=60, deadline=None)
    @given(st.text(alphabet=string.ascii_letters + EXTENSION + "é", max_size=400))
    def holds(text: str) -> None:
        found = count(text)
        assert found.encoding == "GSM-7"
        assert found.units <= (GSM_ONE if found.segments == 1 else found.segments * GSM_JOINED)

    holds()


def test_neighbours_are_joined_where_that_costs_nothing() -> None:
    short, full = "a" * 70, "a" * 160
    assert pack([short, short]) == [[0, 1]]
    assert pack([short, short, short]) == [[0, 1, 2]]
    assert pack([full, full]) == [[0], [1]]  # 321 septets would be three parts
    assert pack([short, short, "a" * 170, short]) == [[0, 1], [2, 3]]
    assert pack([]) == []


def test_joining_never_costs_more_and_keeps_the_order() -> None:
    @settings(max_examples=60, deadline=None)
    @given(st.lists(st.integers(1, 340), max_size=6))
    def holds(lengths: list[int]) -> None:
        texts = ["a" * length for length in lengths]
        groups = pack(texts)
        assert [i for group in groups for i in group] == list(range(len(texts)))
        joined = sum(count(" ".join(texts[i] for i in group)).segments for group in groups)
        assert joined <= sum(count(text).segments for text in texts)

    holds()
