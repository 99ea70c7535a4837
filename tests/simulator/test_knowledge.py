"""What the bot knows, in lines for a person."""

from typing import Any

import pytest

from simulator.knowledge import language_name, read_words, sections, words

VIEW: dict[str, Any] = {
    "farmer": {
        "line_id": 1,
        "farmer_no": 1,
        "name": "Amina",
        "language": "sw",
        "timezone": None,
        "consent_at": "2026-03-02T06:00:00Z",
        "facts": {"measure": {"measure": "bucket", "litres": 20.0}},
    },
    "line": "open",
    "piles": [
        {
            "letter": "A",
            "stage": "working",
            "facts": {"size": [2.0, 1.5, 2.0], "built_on": "2026-03-02", "position": 0},
            "readings": [
                {"at": "2026-03-07T06:00:00Z", "kind": "feel", "value": "hot", "celsius": 58.0, "in_no": 4},
                {"at": "2026-03-08T06:00:00Z", "kind": "turned", "value": "yes", "celsius": None, "in_no": 5},
            ],
        }
    ],
    "open_question": {"dialogue": "stick", "step": "feel"},
    "next": [{"dialogue": "care", "letter": "A", "at": "2026-03-09T04:00:00+00:00"}],
}


def told(view: dict[str, Any]) -> dict[str, dict[str, str]]:
    found = sections(view, lambda moment: f"{moment:%d.%m. %H}h", "en")
    return {section["title"]: dict(section["rows"]) for section in found}


def test_farmer_pile_question_and_plans_have_their_headings() -> None:
    assert told(VIEW) == {
        "Farmer": {
            "Name": "Amina",
            "Language": "Swahili",
            "Agreed": "02.03. 06h",
            "Measure": "bucket of 20 litres",
            "Messages": "may be sent",
        },
        "Pile A": {
            "Stage": "working",
            "Size": "2 x 1.5 x 2 m",
            "Built on": "2026-03-02",
            "Position": "0",
            "07.03. 06h": "feel hot 58 C",
            "08.03. 06h": "turned",
        },
        "Waits for an answer": {"Dialogue": "stick", "Step": "feel"},
        "Planned": {"09.03. 04h": "care, pile A"},
    }


def test_what_is_not_there_has_no_heading() -> None:
    bare = {**VIEW, "piles": [], "open_question": None, "next": [], "line": "stopped"}
    assert list(told(bare)) == ["Farmer"]
    assert told(bare)["Farmer"]["Messages"] == "stopped by the farmer"


def test_an_unknown_phone_has_nothing() -> None:
    assert told({}) == {}


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (None, ""),
        ({"measure": "sack", "litres": None}, "sack"),
        (True, "yes"),
        (2.0, "2"),
        (0, "0"),
        (2.25, "2.25"),
        ("goat_manure", "goat manure"),
        ([], ""),
        ([1, None, 2], "1, 2"),
        ({"near": [], "unknown": ["xyz"]}, "unknown: xyz"),
    ],
)
def test_any_value_becomes_words(value: Any, shown: str) -> None:
    assert words(value) == shown


def test_what_was_read_leaves_out_what_was_not_found() -> None:
    read = {"text": "?", "understood": False, "topic": None, "materials": None, "ask_again": True}
    assert read_words(read) == "not understood"
    assert read_words({**read, "answer": "yes"}) == "not understood (answer: yes)"
    taken = {**read, "understood": True, "ask_again": False}
    assert read_words({**taken, "size_m": [2.0, 2.0, 2.0]}) == "read as size m: 2, 2, 2"
    assert read_words(taken) == "read as the answer to the question"


def test_a_language_nobody_knows_keeps_its_code() -> None:
    assert language_name("sw", "en") == "Swahili"
    assert language_name("zz-zz-zz", "en") == "zz-zz-zz"
