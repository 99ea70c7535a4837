"""A message on one line, and back."""

import json
from datetime import UTC, datetime

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot import LogEntry, Outgoing
from simulator.lines import escape, json_line, plain_line

AT = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)
SENT = Outgoing(
    line_id=1,
    out_no=1,
    reference="1-1",
    gateway="simulated",
    phone="+447700900001",
    text="one\ntwo",
    segments=1,
    encoding="GSM-7",
    why="reply",
    dialogue="care",
    queued_at=AT,
)
TAKEN = LogEntry(
    at=AT, direction="in", phone="+447700900001", text='"hi"\n', read={"text": '"hi"\n', "topic": None}
)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("a\nb", r"a\nb"),
        ("a\\nb", r"a\\nb"),
        ("\r\t", r"\r\t"),
        ("\x1b[2J", r"\u001b[2J"),
        ("\u2028", r"\u2028"),
        ("ü ع", "ü ع"),
    ],
)
def test_what_breaks_a_line_is_shown(text: str, shown: str) -> None:
    assert escape(text) == shown


@settings(max_examples=200)
@given(st.text())
def test_an_escaped_text_is_one_line_and_can_be_restored(text: str) -> None:
    shown = escape(text)
    assert len(f"x{shown}x".splitlines()) == 1
    # The escapes are those of a JSON string, where only the quote needs one more.
    assert json.loads('"' + shown.replace('"', '\\"') + '"') == text


def test_plain_line() -> None:
    assert plain_line(SENT) == r"-> +447700900001 [1 GSM-7] one\ntwo"


def test_json_of_a_message_to_the_farmer() -> None:
    assert json.loads(json_line(SENT)) == {
        "at": "2026-03-02T06:00:00Z",
        "to": "+447700900001",
        "text": "one\ntwo",
        "segments": 1,
        "encoding": "GSM-7",
        "why": "reply",
        "dialogue": "care",
    }


def test_json_of_a_farmers_text_tells_what_was_read() -> None:
    found = json.loads(json_line(TAKEN))
    assert found["from"] == "+447700900001"
    assert found["read"] == {"text": '"hi"\n', "topic": None}
    assert "to" not in found
    assert found["segments"] is found["encoding"] is found["why"] is None


@pytest.mark.parametrize("odd", ["\n", "\x85", "\u2028", "\u2029", "\x1c"])
def test_json_is_one_line_for_every_reader(odd: str) -> None:
    line = json_line(msgspec.structs.replace(SENT, text=f"a{odd}b"))
    assert len(line.splitlines()) == 1
    assert json.loads(line)["text"] == f"a{odd}b"
